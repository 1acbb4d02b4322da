package fig

import (
	"testing"

	"fathomlux/render/style"
)

func newCanvas(t *testing.T, width, height, factor float64) *style.Canvas {
	t.Helper()
	setter, err := style.NewTypesetter(factor)
	if err != nil {
		t.Fatal(err)
	}
	c, err := style.NewCanvas(width, height, setter)
	if err != nil {
		t.Fatal(err)
	}
	return c
}
