package main

import (
	"bytes"
	"errors"
	"fmt"
	"runtime/debug"
	"testing"

	"fathomlux/scene/document"
	"fathomlux/scene/finding"
)

func TestExitStatus(t *testing.T) {
	fault := &document.Error{Faults: []document.Fault{{Place: finding.Place{File: "a.yaml", Line: 3, Column: 1}, Message: "wrong"}}}
	for _, c := range []struct {
		err  error
		want int
	}{
		{nil, 0},
		{fmt.Errorf("%w: mean is 2 lx", errGoalNotMet), 1},
		{fault, 2},
		{errors.New("no such file"), 2},
		{errors.Join(nil, nil), 0},
		{errors.Join(fault, errors.New("b")), 2},
	} {
		if got := exitStatus(c.err); got != c.want {
			t.Errorf("exitStatus(%v) = %d, want %d", c.err, got, c.want)
		}
	}
}

func TestPrintErrorKeepsPlacesInFront(t *testing.T) {
	faults := &document.Error{Faults: []document.Fault{
		{Place: finding.Place{File: "a.yaml", Line: 3, Column: 1, Path: "tank.length"}, Message: "wrong"},
		{Place: finding.Place{File: "a.yaml", Line: 9, Column: 4}, Message: "odd"}}}
	var b bytes.Buffer
	printError(&b, errors.Join(faults, errors.Join(errors.New("open b.yaml: no such file"))))
	const want = "a.yaml:3:1: tank.length: wrong\na.yaml:9:4: odd\nfathomlux: open b.yaml: no such file\n"
	if b.String() != want {
		t.Errorf("got %q, want %q", b.String(), want)
	}
	b.Reset()
	printError(&b, nil)
	if b.Len() > 0 {
		t.Errorf("nil prints %q", b.String())
	}
}

func TestVersionFrom(t *testing.T) {
	for stamped, want := range map[string]string{
		"": sourceVersion, "(devel)": sourceVersion, "v0.0.0-20260102030405-abcdefabcdef": sourceVersion,
		"v1.2.4-0.20260102030405-abcdefabcdef": sourceVersion, "v1.2.3-rc.1.0.20260102030405-abcdefabcdef": sourceVersion,
		"v1.2.3-20260102": "1.2.3-20260102", "v1.2.3+dirty": sourceVersion, "v1.2.3": "1.2.3", "v0.4.0-rc.1": "0.4.0-rc.1",
	} {
		if got := versionFrom(&debug.BuildInfo{Main: debug.Module{Version: stamped}}); got != want {
			t.Errorf("versionFrom(%q) = %q, want %q", stamped, got, want)
		}
	}
}
