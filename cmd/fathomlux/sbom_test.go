package main

import (
	"bytes"
	"encoding/json"
	"runtime/debug"
	"strings"
	"testing"

	"fathomlux/render/answer"
)

// TestSBOM reads a bill back: every module once, replaced ones by what stands for them, and the standard library.
func TestSBOM(t *testing.T) {
	info := &debug.BuildInfo{GoVersion: "go1.26.1", Settings: []debug.BuildSetting{{Key: "-compiler", Value: "gc"}, {Key: "GOARCH", Value: "arm64"}},
		Deps: []*debug.Module{
			{Path: "example.org/a", Version: "v1.2.3", Sum: "h1:abc="},
			{Path: "example.org/b", Version: "v0.1.0", Replace: &debug.Module{Path: "example.org/c", Version: "v2.0.0+incompatible"}},
		}}
	var b, again bytes.Buffer
	for _, w := range []*bytes.Buffer{&b, &again} {
		if err := answer.WriteJSON(w, sbom(info)); err != nil {
			t.Fatal(err)
		}
	}
	if b.String() != again.String() {
		t.Error("two bills of one build differ")
	}
	type property struct{ Name, Value string }
	type item struct {
		Type, Name, Version, PURL string
		Ref                       string `json:"bom-ref"`
		Properties                []property
	}
	var got struct {
		BOMFormat, SpecVersion string
		Version                int
		Metadata               struct {
			Component  item
			Properties []property
		}
		Components   []item
		Dependencies []struct {
			Ref       string
			DependsOn []string
		}
	}
	d := json.NewDecoder(&b)
	d.DisallowUnknownFields()
	if err := d.Decode(&got); err != nil {
		t.Fatal(err)
	}
	var refs []string
	for _, c := range got.Components {
		refs = append(refs, c.Ref)
	}
	want := "pkg:golang/std@1.26.1 pkg:golang/example.org/a@v1.2.3 pkg:golang/example.org/c@v2.0.0%2Bincompatible"
	if strings.Join(refs, " ") != want {
		t.Errorf("components are %q, want %s", refs, want)
	}
	if on := got.Dependencies[0]; strings.Join(on.DependsOn, " ") != want || on.Ref != got.Metadata.Component.Ref {
		t.Errorf("the program depends on %q", on)
	}
	if p := got.Metadata.Properties; len(p) != 1 || p[0] != (property{"build:GOARCH", "arm64"}) {
		t.Errorf("settings are %v", p)
	}
	if p := got.Components[1].Properties; len(p) != 1 || p[0].Value != "h1:abc=" {
		t.Errorf("the checksum of a module is %v", p)
	}
}
