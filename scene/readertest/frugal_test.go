package readertest

import "testing"

// kept keeps what the tests allocate alive.
var kept [][]byte

// recorder is a test that notes that it failed and goes on.
type recorder struct {
	testing.TB
	failed bool
}

func (r *recorder) Helper()               {}
func (r *recorder) Errorf(string, ...any) { r.failed = true }

func TestFrugalTellsHoardersFromThoseThatLetGo(t *testing.T) {
	const piece = 1 << 20
	for _, c := range []struct {
		name  string
		read  func()
		fails bool
	}{
		{"little", func() { kept = append(kept, make([]byte, piece)) }, false},
		{"much, and kept", func() {
			for range 80 {
				kept = append(kept, make([]byte, piece))
			}
		}, true},
		{"much, and let go", func() {
			for range 80 {
				kept = [][]byte{make([]byte, piece)}
			}
		}, false},
	} {
		r := &recorder{TB: t}
		kept = nil
		Frugal(r, 100, c.read)
		if r.failed != c.fails {
			t.Errorf("%s: failed is %v", c.name, r.failed)
		}
	}
	kept = nil
}
