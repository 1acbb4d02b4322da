// Package kubernetes checks the Job of examples/many-machines against the types that Kubernetes publishes. It is a module
// of its own: the program needs none of them.
package kubernetes

import (
	"bytes"
	"fmt"
	"os"
	"os/exec"
	"path/filepath"
	"testing"

	batchv1 "k8s.io/api/batch/v1"
	"sigs.k8s.io/yaml"
)

const (
	file   = "../../examples/many-machines/job.yml"
	scenes = "../../examples/foyer"
)

func readJob(t *testing.T) (data []byte, job batchv1.Job) {
	t.Helper()
	data, err := os.ReadFile(file)
	if err == nil {
		err = yaml.UnmarshalStrict(data, &job)
	}
	if err != nil {
		t.Fatal(err)
	}
	return data, job
}

// TestJobIsStrictlyRead: each key is one of the published types, once, and says what an Indexed Job needs.
func TestJobIsStrictlyRead(t *testing.T) {
	data, job := readJob(t)
	pod := job.Spec.Template.Spec
	switch {
	case job.APIVersion != "batch/v1" || job.Kind != "Job":
		t.Errorf("it is a %s of %s", job.Kind, job.APIVersion)
	case job.Spec.CompletionMode == nil || *job.Spec.CompletionMode != batchv1.IndexedCompletion || job.Spec.Completions == nil:
		t.Error("it is not indexed, or has no number of completions")
	case pod.RestartPolicy != "Never" && pod.RestartPolicy != "OnFailure":
		t.Errorf("a Job does not take the restart policy %q", pod.RestartPolicy)
	case len(pod.Containers) != 1 || pod.Containers[0].Image != "IMAGE":
		t.Error("the image is for the user to name")
	}
	mounted := pod.Containers[0].VolumeMounts
	if len(mounted) != 1 || len(pod.Volumes) != 1 || mounted[0].Name != pod.Volumes[0].Name || mounted[0].MountPath != pod.Containers[0].WorkingDir {
		t.Error("it does not work on the volume of the study")
	}
	for right, wrong := range map[string]string{"completions:": "completion:", "kind: Job": "kind: Job\nkind: Job"} {
		if yaml.UnmarshalStrict(bytes.Replace(data, []byte(right), []byte(wrong), 1), &job) == nil {
			t.Errorf("%q was read, too", wrong)
		}
	}
}

// TestJobRuns runs the command of each pod, as the environment of an Indexed Job has it, and joins what they write. The
// program is that of the environment variable FATHOMLUX.
func TestJobRuns(t *testing.T) {
	program := os.Getenv("FATHOMLUX")
	if program == "" {
		t.Skip("FATHOMLUX names no program")
	}
	_, job := readJob(t)
	dir, bin := t.TempDir(), t.TempDir()
	if err := os.CopyFS(dir, os.DirFS(scenes)); err != nil {
		t.Fatal(err)
	}
	if err := os.Symlink(program, filepath.Join(bin, "fathomlux")); err != nil {
		t.Fatal(err)
	}
	run := func(index int, words ...string) {
		t.Helper()
		cmd := exec.Command(words[0], words[1:]...)
		cmd.Dir = dir
		cmd.Env = append(os.Environ(), "PATH="+bin+":"+os.Getenv("PATH"), fmt.Sprintf("JOB_COMPLETION_INDEX=%d", index))
		if out, err := cmd.CombinedOutput(); err != nil {
			t.Fatalf("%q: %v\n%s", words, err, out)
		}
	}
	pod := job.Spec.Template.Spec.Containers[0]
	for i := range int(*job.Spec.Completions) {
		run(i, append(pod.Command, pod.Args...)...)
	}
	run(0, "sh", "-c", "exec fathomlux join parts/*.part")
}
