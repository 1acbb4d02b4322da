package live

import (
	"encoding/json"
	"errors"
	"slices"
	"strings"
	"testing"

	"context"

	"fathomlux/scene"
	"fathomlux/scene/edit"
)

// folder holds files in memory.
type folder struct {
	text, kept map[string]string
	watched    []string
}

func (f *folder) Parse(name string, text []byte) (*scene.Scene, bool, []Mark) {
	sc, unlit, err := scene.ParseUnlit("../../examples/foyer/"+name, text)
	if err != nil {
		return nil, false, []Mark{{Line: 3, Kind: "fault", Text: err.Error()}}
	}
	return sc, unlit, nil
}
func (f *folder) Text(name string) ([]byte, error) {
	if text, is := f.text[name]; is {
		return []byte(text), nil
	}
	return nil, errors.New("there is no such file")
}
func (f *folder) Watch(name string) { f.watched = append(f.watched, name) }
func (f *folder) List() (string, []string) {
	return "/tanks", []string{"foyer.yaml", "empty.yaml", "bad.yaml"}
}
func (f *folder) Free(name string) string                   { return name + "-free" }
func (f *folder) Create(t Tank) (string, []Mark, error)     { return t.Title + ".yaml", nil, nil }
func (f *folder) Keep(name string, text []byte) error       { f.kept[name] = string(text); return nil }
func (f *folder) Kept(name string) (text []byte, at string) { return []byte(f.kept[name]), "then" }

// folderHandler serves a folder with the foyer, a tank without lights, and a file with a fault.
func folderHandler(t testing.TB, c Config) (*Handler, *folder, *scene.Scene) {
	t.Helper()
	sc := readFoyer(t)
	head, _, _ := strings.Cut(scene.Starter(), "\nrails:")
	f := &folder{kept: map[string]string{}, text: map[string]string{"foyer.yaml": string(sc.Source()), "bad.yaml": "tank: 5\n",
		"empty.yaml": head + "\ngoal: {plane: floor, illuminance: 900 lx}\n"}}
	c.Files = f
	if c.Save == nil {
		c.Save = func(d Draft) (string, error) { f.text[d.Name] = string(d.Text); return d.Name, nil }
	}
	h, _ := handler(t, c)
	return h, f, sc
}

// ask sends a request and reads the answer.
func ask(t testing.TB, h *Handler, method, path string, body any) (o object) {
	t.Helper()
	got := call(h, method, "/"+token+"/"+path, body, nil)
	lines := strings.Split(strings.TrimSpace(got.Body.String()), "\n") // of a job the last one counts
	if err := json.Unmarshal([]byte(lines[len(lines)-1]), &o); err != nil {
		t.Fatalf("%s: %v: %d %s", path, err, got.Code, got.Body)
	}
	return o
}

// TestFiles: the first screen lists scenes with what a small plan shows, and each opens as what it is.
func TestFiles(t *testing.T) {
	h, f, sc := folderHandler(t, Config{})
	list, _ := ask(t, h, "GET", "files", nil)["scenes"].([]any)
	if len(list) != 3 {
		t.Fatalf("%v", list)
	}
	foyer, empty, bad := list[0].(object), list[1].(object), list[2].(object)
	if len(foyer["modules_m"].([]any)) != len(sc.Rails[0].Modules) || empty["unlit"] != true || len(empty["rails_m"].([]any)) != 0 || bad["faults"] != 1. {
		t.Errorf("%v, %v, %v", foyer, empty, bad)
	}
	if o := ask(t, h, "GET", "scene?file=empty.yaml", nil); o["unlit"] != true {
		t.Errorf("a tank without lights opens as %v", o)
	}
	if o := ask(t, h, "GET", "scene?file=bad.yaml", nil); o["text"] != "tank: 5\n" || len(o["marks"].([]any)) != 1 {
		t.Errorf("a file with a fault opens as %v", o)
	}
	if o := ask(t, h, "GET", "scene?file=none.yaml", nil); o["missing"] != "there is no such file" {
		t.Errorf("no file opens as %v", o)
	}
	if !slices.Equal(f.watched, []string{"empty.yaml", "bad.yaml"}) {
		t.Errorf("watched are %v", f.watched)
	}
}

// TestSaveOverOwnFile: a page's own file is written over as long as nobody else has changed it.
func TestSaveOverOwnFile(t *testing.T) {
	h, f, sc := folderHandler(t, Config{})
	request := saveRequest{State: State{numberOf(sc), edit.SettingOf(sc)}, Name: "foyer.yaml", Own: "foyer.yaml", Disk: numberOf(sc)}
	request.State.Rails[0].AboveWaterM = 0.2
	f.kept["foyer.yaml"] = "old work"
	o := ask(t, h, "POST", "save", request)
	if o["saved"] != "foyer.yaml" || !strings.Contains(f.text["foyer.yaml"], "above_water: 200 mm") || f.kept["foyer.yaml"] != "" {
		t.Fatalf("%v; kept %q", o, f.kept)
	}
	request.State.Rails[0].AboveWaterM = 0.25
	if o := ask(t, h, "POST", "save", request); o["conflict"] != true || strings.Contains(f.text["foyer.yaml"], "above_water: 250 mm") {
		t.Errorf("a file that was changed meanwhile: %v", o)
	}
	if request.Disk = int64(o["disk"].(float64)); ask(t, h, "POST", "save", request)["saved"] != "foyer.yaml" || !strings.Contains(f.text["foyer.yaml"], "above_water: 250 mm") {
		t.Error("what this page saved last may be saved over")
	}
}

// TestTextAndDraft: a state is shown as text, a text with a fault is marked and makes no version, a sound one makes one; what was
// kept is offered until it is forgotten.
func TestTextAndDraft(t *testing.T) {
	h, f, sc := folderHandler(t, Config{First: "foyer.yaml"})
	state := State{numberOf(sc), edit.SettingOf(sc)}
	state.Rails[0].AboveWaterM = 0.2
	text, _ := ask(t, h, "POST", "text", textRequest{File: "foyer.yaml", State: &state})["text"].(string)
	if !strings.Contains(text, "above_water: 200 mm") || !strings.Contains(text, "# floor to rim") {
		t.Fatalf("%s", text)
	}
	wrong := strings.Replace(text, "length: 1180 mm", "length: 1180", 1)
	if o := ask(t, h, "POST", "text", textRequest{File: "foyer.yaml", Text: &wrong, Apply: true}); o["sound"] != false || o["version"] != nil || len(o["marks"].([]any)) != 1 {
		t.Errorf("a faulty text: %v", o)
	}
	o := ask(t, h, "POST", "text", textRequest{File: "foyer.yaml", Text: &text, Apply: true})
	made, _ := o["version"].(float64)
	if v := h.version(int64(made)); v == nil || v.scene.Rails[0].AboveWaterM != 0.2 {
		t.Errorf("a sound text: %v", o)
	}
	ask(t, h, "POST", "keep", keepRequest{File: "foyer.yaml", State: &state})
	if draft, _ := ask(t, h, "GET", "scene", nil)["draft"].(object); draft["version"] != made || draft["at"] != "then" {
		t.Errorf("kept is %v; offered %v", f.kept, draft)
	}
	ask(t, h, "POST", "keep", keepRequest{File: "foyer.yaml"})
	if o := ask(t, h, "GET", "scene", nil); o["draft"] != nil {
		t.Errorf("what was forgotten is offered: %v", o["draft"])
	}
}

// TestJob: a job gets the scene of the state and its limits, and what it finds can be taken as a version; a fault is said.
func TestJob(t *testing.T) {
	var fault error
	h, f, sc := folderHandler(t, Config{Jobs: map[string]Job{"lift": func(_ context.Context, sc *scene.Scene, limits map[string]string, tell func(int, int)) ([]Preview, []string, error) {
		tell(1, 2)
		setting := edit.SettingOf(sc)
		setting.Rails[0].AboveWaterM += 0.01
		lifted, err := edit.Set(sc, setting)
		if err != nil {
			return nil, nil, err
		}
		text, err := edit.Rewrite(lifted)
		return []Preview{{Name: limits["word"], Text: text}}, []string{"a note"}, errors.Join(err, fault)
	}}})
	state := State{numberOf(sc), edit.SettingOf(sc)}
	state.Rails[0].AboveWaterM = 0.2
	request := jobRequest{File: "foyer.yaml", State: &state, Limits: map[string]string{"word": "higher"}}
	o := ask(t, h, "POST", "job/lift", request)
	list, _ := o["previews"].([]any)
	if len(list) != 1 {
		t.Fatalf("%v", o)
	}
	one := list[0].(object)
	if v := h.version(int64(one["version"].(float64))); v == nil || v.scene.Rails[0].AboveWaterM != 0.21 || one["name"] != "higher" || one["light"] == nil {
		t.Errorf("%v", one)
	}
	fault = errors.New("no room")
	if o := ask(t, h, "POST", "job/lift", request); o["refused"] != "no room" {
		t.Errorf("%v", o)
	}
	f.text["foyer.yaml"] = "tank: 5"
	request.State = nil
	if o := ask(t, h, "POST", "job/lift", request); !strings.HasPrefix(o["refused"].(string), "foyer.yaml has faults; the first is: ") {
		t.Errorf("%v", o)
	}
}
