package scene_test

import (
	"fmt"
	"strings"
	"testing"

	"fathomlux/scene"
	"fathomlux/scene/document"
	"fathomlux/scene/longtest"
	"fathomlux/scene/readertest"
)

// TestFrugal: the texts that make a YAML reader hoard most, at the size of a whole file and at the most marks that one may have.
func TestFrugal(t *testing.T) {
	ends := []string{"}", "]", "}}", "]}"}
	ends = ends[:longtest.Pick(1, len(ends))]
	laughs := "a: &a [" + strings.Repeat("1,", 100) + "]\nb: &b [" + strings.Repeat("*a,", 90) + "]\nc: ["
	for _, c := range []struct{ head, unit string }{
		{"", "["}, {"", "{a: "}, {"[", "~,"}, {"[", "1,"}, {"a: [", "{},"}, {"", "- \n"}, {"", "a: 1\n"}, {"", "? "}, {"[", "&a 1,"}, {"{", "a,"},
		{"", "!!a "}, {"[", "\"\",\n"}, {"a: \"", "\\n"}, {"title: \"", "x"}, {"", "titel: 1 mm\n"}, {laughs, "*b,"}, {laughs, "*a,"},
		{keys(900) + "modules: {", "*k,"}, {keys(900) + "parts: {modules: [", "*k,"}, {keys(900) + "rails: [", "*k,"}, {keys(900) + "tank: [", "*k,"},
		{"rails: [", "{name: a},"}, {"parts: [", "a.yaml,"}, {"obstacles: [", "{kind: box},"}, {"rails: [{modules: {positions: [", "1 mm,"},
	} {
		whole := readertest.Filled(c.head, c.unit, document.MaxBytes)
		marks := len(c.unit) - len(strings.TrimLeft(c.unit, "[{")) + strings.Count(c.unit, ",") + strings.Count(c.unit, ": ") + strings.Count(c.unit, "\n")
		fullest := readertest.Filled(c.head, c.unit, (document.MaxMarks-1000)/max(marks, 1)*len(c.unit))
		fullest = fullest[:min(len(fullest), document.MaxBytes)]
		few := readertest.Filled(c.head, c.unit, len(c.head)+20*len(c.unit)) // as many as an alias may be multiplied
		texts := [][]byte{whole, fullest, few}
		for _, end := range ends {
			texts = append(texts, []byte(string(few)+end), []byte(string(fullest)+end))
		}
		for _, data := range texts {
			readertest.Frugal(t, len(data), func() {
				if _, err := scene.Parse("a.yaml", data, nil); err == nil || err.Error() == "" {
					t.Errorf("%q again and again is taken", c.unit)
				}
			})
		}
	}
}

// keys is a map &k of n keys that no reader knows.
func keys(n int) string {
	var b strings.Builder
	b.WriteString("x: &k {")
	for i := range n {
		fmt.Fprintf(&b, "q%d: 1, ", i)
	}
	return b.String() + "}\n"
}
