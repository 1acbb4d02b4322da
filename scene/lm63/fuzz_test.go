package lm63_test

import (
	"errors"
	"math"
	"os"
	"path/filepath"
	"testing"

	"fathomlux/scene/document"
	"fathomlux/scene/lm63"
	"fathomlux/scene/readertest"
)

// FuzzRead: no input panics; a refusal names the file and says something; the light of what
// was read is finite, nowhere negative and adds up to something.
func FuzzRead(f *testing.F) {
	files, err := filepath.Glob("testdata/*.ies")
	if err != nil || len(files) != 3 {
		f.Fatal(files, err)
	}
	for _, file := range files {
		data, err := os.ReadFile(file)
		if err != nil {
			f.Fatal(err)
		}
		f.Add(data)
	}
	for _, text := range []string{sound, plain("90 180 270"), plain("0 100 300"), "IESNA91\n[A\n[MORE] b\n[ ] c\nTilt = x\n1 2,3"} {
		f.Add([]byte(text))
	}
	f.Fuzz(func(t *testing.T, data []byte) {
		var file *lm63.File
		var err error
		readertest.Frugal(t, len(data), func() { file, err = lm63.Read("x.ies", data) })
		if err != nil {
			var all *document.Error
			if !errors.As(err, &all) || len(all.Faults) == 0 || all.Faults[0].File != "x.ies" || all.Faults[0].Message == "" {
				t.Fatalf("a refusal without a reason: %v", err)
			}
			return
		}
		checkLight(t, file)
	})
}

func checkLight(t *testing.T, f *lm63.File) {
	if lm := f.FluxWithin(math.Pi); !(lm > 0) || math.IsInf(lm, 0) {
		t.Fatalf("flux %g", lm)
	}
	for v := 0.0; v <= 180; v += 15 {
		for h := -30.0; h < 400; h += 35 {
			if cd := at(f, v, h); !(cd >= 0) || math.IsInf(cd, 0) {
				t.Fatalf("%g cd at %g, %g", cd, v, h)
			}
		}
	}
	if a, b := inDeg(f.FullAngles(0.5)); !(a >= 0 && a <= 180 && b >= 0 && b <= 180) {
		t.Fatalf("beam angles %g, %g", a, b)
	}
}
