package share

import (
	"bytes"
	"fmt"
	"math"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"

	"fathomlux/scene"
	"fathomlux/scene/readertest"
)

// headOf is that of a part of the starter scene.
func headOf(t testing.TB, part, of int) Head {
	t.Helper()
	sc, err := scene.Parse("dir/tank.yaml", []byte(scene.Starter()), nil)
	if err != nil {
		t.Fatal(err)
	}
	h := Head{Version: "1.2.3", Call: "fathomlux sweep tank.yaml --vary=x", Words: "sweep\n--vary=x", Part: part, Of: of}
	h.Put(sc)
	h.Files["a.ies"] = []byte("x\xff")
	return h
}

// partFile writes a part and returns its path.
func partFile(t testing.TB, name string, h Head, results ...float64) string {
	t.Helper()
	data, err := Write(h, results)
	path := filepath.Join(t.TempDir(), name)
	if err == nil {
		err = os.WriteFile(path, data, 0o666)
	}
	if err != nil {
		t.Fatal(err)
	}
	return path
}

// TestPartsGiveBackWhatTheyHold: heads, scenes and results, in the order of the parts, whatever that of the files.
func TestPartsGiveBackWhatTheyHold(t *testing.T) {
	t.Parallel()
	files := []string{partFile(t, "c", headOf(t, 3, 3), 0.1, 1e-300), partFile(t, "a", headOf(t, 1, 3), 5), partFile(t, "b", headOf(t, 2, 3))}
	parts, err := Open(files, "1.2.3")
	if err != nil {
		t.Fatal(err)
	}
	var got []float64
	for r, err := range Results[float64](parts) {
		if err != nil {
			t.Fatal(err)
		}
		got = append(got, r)
	}
	if !slices.Equal(got, []float64{5, 0.1, 1e-300}) {
		t.Errorf("the results are %v", got)
	}
	sc, err := parts[0].Read()
	if err != nil || sc.File != "dir/tank.yaml" || string(sc.Source()) != scene.Starter() {
		t.Errorf("the scene did not come back (%v)", err)
	}
	if string(parts[2].Files["a.ies"]) != "x\xff" {
		t.Error("the files did not come back")
	}
	again, _ := Write(headOf(t, 3, 3), []float64{0.1, 1e-300})
	if data, _ := os.ReadFile(files[0]); !bytes.Equal(data, again) {
		t.Error("equal parts differ")
	}
}

// TestWhatIsNoWhole names each part that is wrong.
func TestWhatIsNoWhole(t *testing.T) {
	t.Parallel()
	part := func(name string, i, of int, change func(*Head)) string {
		h := headOf(t, i, of)
		change(&h)
		return partFile(t, name, h, 1)
	}
	same := func(*Head) {}
	good := part("good", 1, 2, same)
	data, err := os.ReadFile(good)
	if err != nil {
		t.Fatal(err)
	}
	raw := func(name string, data []byte) string {
		path := filepath.Join(t.TempDir(), name)
		if err := os.WriteFile(path, data, 0o666); err != nil {
			t.Fatal(err)
		}
		return path
	}
	flipped := bytes.Clone(data)
	flipped[len(data)/2] ^= 1
	for _, c := range []struct {
		files []string
		words []string
	}{
		{[]string{good}, []string{"part 2 of 2 is missing; compute it with: fathomlux sweep tank.yaml --vary=x --share 2/2"}},
		{[]string{part("few", 4, 9, same)}, []string{"parts 1 to 3, 5 to 9 of 9 are missing; compute each of them, the first with: fathomlux sweep tank.yaml --vary=x --share 1/9"}},
		{[]string{good, part("twice", 1, 2, same)}, []string{"part 1 is there twice: ", "good and ", "part 2 of 2 is missing"}},
		{[]string{good, part("three", 2, 3, same)}, []string{"three is of another study than ", "it is one of 3 parts, not of 2"}},
		{[]string{good, part("newer", 2, 2, func(h *Head) { h.Version = "2" })}, []string{"it was computed by version 2, not 1.2.3"}},
		{[]string{part("older", 1, 1, func(h *Head) { h.Version = "1" })}, []string{"older was computed by version 1, and this is 1.2.3"}},
		{[]string{good, part("call", 2, 2, func(h *Head) { h.Call += " --seed=2" })}, []string{"it was computed by: fathomlux sweep tank.yaml --vary=x --seed=2; not by: "}},
		{[]string{good, part("scene", 2, 2, func(h *Head) { h.Scene = append(h.Scene, ' ') })}, []string{"the text of its scene differs"}},
		{[]string{good, part("files", 2, 2, func(h *Head) { h.Files["a.ies"] = nil })}, []string{"the files differ that its scene names"}},
		{[]string{raw("short", data[:len(data)-1])}, []string{"short is cut off or damaged; compute this part again"}},
		{[]string{raw("shorter", data[:30])}, []string{"shorter is cut off or damaged"}},
		{[]string{raw("longer", append(bytes.Clone(data), '\n'))}, []string{"longer is cut off or damaged"}},
		{[]string{raw("flipped", flipped)}, []string{"flipped is cut off or damaged"}},
		{[]string{raw("text", []byte("title: x\n")), raw("empty", nil)}, []string{"text is no part; give files that --share wrote", "empty is no part"}},
		{[]string{raw("future", []byte("{\"fathomlux_part\":2}\n"))}, []string{"future has the format 2 of parts, this program reads 1"}},
		{[]string{part("none", 3, 2, same)}, []string{"none is cut off or damaged"}},
		{[]string{part("most", 1, MaxParts+1, same)}, []string{"most is cut off or damaged"}},
		{[]string{"nowhere"}, []string{"nowhere: there is no such file"}},
	} {
		_, err := Open(c.files, "1.2.3")
		for _, words := range c.words {
			if got := fmt.Sprint(err); !strings.Contains(got, words) {
				t.Errorf("%s lacks %q", got, words)
			}
		}
	}
}

// TestResultsOfAnotherKind, and a part that changes after it was opened, end the reading.
func TestResultsOfAnotherKind(t *testing.T) {
	t.Parallel()
	path := partFile(t, "a", headOf(t, 1, 1), 7)
	parts, err := Open([]string{path}, "1.2.3")
	if err != nil {
		t.Fatal(err)
	}
	for _, err := range Results[string](parts) {
		if err == nil {
			t.Error("a number was read as a text")
		}
	}
	if err := os.Remove(path); err != nil {
		t.Fatal(err)
	}
	for _, err := range Results[float64](parts) {
		if err == nil {
			t.Error("a file that is gone was read")
		}
	}
}

// TestWhatNoPartHolds: more bytes than are read again, and numbers that JSON does not have.
func TestWhatNoPartHolds(t *testing.T) {
	t.Parallel()
	data, err := Write(headOf(t, 1, 1), []float64{1})
	if err != nil {
		t.Fatal(err)
	}
	if _, err := writeUpTo(len(data), headOf(t, 1, 1), []float64{1}); err != nil {
		t.Error(err)
	}
	_, err = writeUpTo(len(data)-1, headOf(t, 1, 1), []float64{1})
	if words := fmt.Sprintf("the part would have %d bytes, more than the limit of %d", len(data), len(data)-1); err == nil || !strings.Contains(err.Error(), words) {
		t.Errorf("%v, should say %q", err, words)
	}
	if _, err := Write(headOf(t, 1, 1), []float64{math.NaN()}); err == nil {
		t.Error("a part holds what is no number")
	}
}

// sealed closes text as a part is.
func sealed(text []byte) []byte {
	text = append(bytes.TrimRight(text, "\n"), '\n')
	return fmt.Appendf(text, "{\"results\":%d,\"sha256\":%q}\n", bytes.Count(text, []byte("\n"))-1, digest(text))
}

// TestFrugal: of what costs most, a mebibyte each.
func TestFrugal(t *testing.T) {
	for _, unit := range []string{`"files":{"":""},`, `"x":[[[[]]]],`, `"words":"\n\n\n\n\n\n\n\n",`, "\n", "1\n", `"scene":"AAAA",`} {
		data := sealed(readertest.Filled(begin+`1,"part":1,"of":1,`, unit, 1<<20))
		readertest.Frugal(t, len(data), func() { _, _ = (&Part{}).parse(data) })
	}
	var files bytes.Buffer
	for i := range 100_000 {
		fmt.Fprintf(&files, "%q:\"\",", fmt.Sprintf("%x", i))
	}
	data := sealed(fmt.Appendf(nil, "%s1,\"part\":1,\"of\":1,\"files\":{%s\"\":\"\"}}", begin, files.Bytes()))
	readertest.Frugal(t, len(data), func() {
		if _, err := (&Part{}).parse(data); err != nil {
			t.Error(err)
		}
	})
}

// FuzzPart holds that nothing makes the reader of parts panic, and that what it takes has a place among its parts.
func FuzzPart(f *testing.F) {
	data, err := Write(headOf(f, 2, 3), []float64{1, 2})
	if err != nil {
		f.Fatal(err)
	}
	f.Add(data)
	before, _ := cutLast(data)
	f.Add(before)
	f.Add([]byte(begin + `1,"part":1,"of":1}`))
	f.Fuzz(func(t *testing.T, data []byte) {
		for _, data := range [][]byte{data, sealed(data)} {
			p, results := &Part{}, []byte(nil)
			var err error
			readertest.Frugal(t, len(data), func() { results, err = p.parse(data) })
			if err == nil && (p.Part < 1 || p.Part > p.Of || len(results) >= len(data)) {
				t.Errorf("%q was taken as part %d of %d", data, p.Part, p.Of)
			}
		}
	})
}
