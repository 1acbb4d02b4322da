package output

import (
	"context"
	"errors"
	"fmt"
	"testing"
)

// endsAt is a context that ends when it is asked for the nth time.
type endsAt struct {
	context.Context
	n *int
}

func (c endsAt) Err() error {
	if *c.n--; *c.n <= 0 {
		return context.Canceled
	}
	return nil
}

// TestWriteSetStopsBetweenFiles: a set of many files is not written on to its last one when the context ends.
func TestWriteSetStopsBetweenFiles(t *testing.T) {
	var files []File
	for i := range 9 {
		files = append(files, File{fmt.Sprint(i), []byte("new")})
	}
	for n := 1; n <= len(files)+1; n++ {
		dir, left := t.TempDir(), n
		if err := WriteSet(endsAt{t.Context(), &left}, dir, files, nil); !errors.Is(err, context.Canceled) || left != 0 {
			t.Errorf("error is %v, after the end it was asked %d times", err, -left)
		}
		if got := names(t, dir); len(got) > 0 {
			t.Errorf("left is %v", got)
		}
	}
}
