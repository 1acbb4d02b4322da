package curve

import (
	"slices"
	"strings"
	"testing"

	"fathomlux/scene/readertest"
)

const good = `# a note, with a comma
wavelength_nm,a,b
400,1,-2.5
# a note between
410,3e1,0
`

func TestParseTable(t *testing.T) {
	table, err := ParseTable(good)
	if err != nil {
		t.Fatal(err)
	}
	if got := table.Names(); !slices.Equal(got, []string{"wavelength_nm", "a", "b"}) {
		t.Errorf("names %v", got)
	}
	for name, want := range map[string][]float64{"wavelength_nm": {400, 410}, "a": {1, 30}, "b": {-2.5, 0}} {
		if got, err := table.Column(name); err != nil || !slices.Equal(got, want) {
			t.Errorf("column %s: %v, %v; want %v", name, got, err, want)
		}
	}
	if got := table.MustCurve("wavelength_nm", "a").AtOrZero(405); got != 15.5 { // half way from 1 to 30
		t.Errorf("curve at 405: %g", got)
	}
}

func TestParseTableAsSpreadsheetsWriteIt(t *testing.T) {
	table, err := ParseTable("\ufeffwavelength_nm, power\r\n400 , 1\r\n\"410\",2\r\n\r\n")
	if err != nil {
		t.Fatal(err)
	}
	if c := table.MustCurve("wavelength_nm", "power"); c.AtOrZero(400) != 1 || c.AtOrZero(410) != 2 {
		t.Errorf("1 and 2 are read as %g and %g", c.AtOrZero(400), c.AtOrZero(410))
	}
}

func TestWrongTables(t *testing.T) {
	cases := []struct{ name, text, want string }{
		{"empty", "", "no header line"},
		{"notes alone", "# nothing\n", "no header line"},
		{"header alone", "x,y\n", "a table needs at least one row"},
		{"no such column", "x,z\n1,2\n", "there is no column y"},
		{"two of one name", "x,y,x\n1,2,3\n", "columns 1 and 3 have one name"},
		{"a row too long", "x,y\n1,2,3\n", "line 2"},
		{"an open quote", "x,y\n1,\"2\n", "line 2"},
		{"an open quote in the header", "\"x,y\n", "line 1"},
		{"an empty cell", "# note\nx,y\n1,2\n2,\n", `line 4, column y: "" is not a finite number`},
		{"a word", "x,y\n1,bright\n", `line 2, column y: "bright" is not a finite number`},
		{"infinite", "x,y\n1,Inf\n", `"Inf" is not a finite number`},
		{"not a number", "x,y\nNaN,1\n", `line 2, column x: "NaN" is not a finite number`},
		{"too large", "x,y\n1e999,1\n", "is not a finite number"},
		{"x falls", "x,y\n2,1\n1,1\n", "row 2 does not rise"},
	}
	for _, c := range cases {
		table, err := ParseTable(c.text)
		if err == nil {
			err = broken(func() { table.MustCurve("x", "y") })
		}
		if err == nil || !strings.Contains(err.Error(), c.want) {
			t.Errorf("%s: %v, want %q", c.name, err, c.want)
		}
	}
}

// broken returns the error that something panics with.
func broken(do func()) (err error) {
	defer func() { err, _ = recover().(error) }()
	do()
	return nil
}

func TestMustPanicsOnOurOwnBrokenTable(t *testing.T) {
	for name, f := range map[string]func(){
		"text":   func() { MustParseTable("") },
		"column": func() { MustParseTable(good).MustCurve("wavelength_nm", "c") },
	} {
		if broken(f) == nil {
			t.Errorf("%s: no panic", name)
		}
	}
}

// TestFrugal: tables at the size of a whole file, 1 MiB: of rows, of columns, of quotation marks.
func TestFrugal(t *testing.T) {
	for _, c := range []struct {
		head, unit string
		taken      bool
	}{
		{"x\n", "1\n", false}, {"", "a,", false}, {"", "\"\"\n", false}, {"x,y\n", ",\n", false}, {"x\n", "\n", true}, {"", "\"", true}, {"x\n", ",", false}, {"x\n", "# a note\n", true},
	} {
		text := string(readertest.Filled(c.head, c.unit, 1<<20))
		readertest.Frugal(t, len(text), func() {
			if _, err := ParseTable(text); (err == nil) != c.taken {
				t.Errorf("%q again and again: %v", c.unit, err)
			}
		})
	}
}

// FuzzParseTable holds that no text makes it panic, that rows are as long as the header, and that a column that is read has a
// finite number in each row.
func FuzzParseTable(f *testing.F) {
	f.Add(good)
	f.Add("x,y\n1,\"2\n")
	f.Add("\ufeffx\n1e999")
	f.Fuzz(func(t *testing.T, text string) {
		var table Table
		var err error
		readertest.Frugal(t, len(text), func() { table, err = ParseTable(text) })
		if err != nil {
			return
		}
		for _, name := range table.Names() {
			values, err := table.Column(name)
			if err != nil {
				if err.Error() == "" {
					t.Error("an error without a message")
				}
				continue
			}
			for _, v := range values {
				if v-v != 0 {
					t.Errorf("column %q holds %g", name, v)
				}
			}
		}
	})
}
