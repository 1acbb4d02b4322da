package main

import (
	"bytes"
	"encoding/json"
	"errors"
	"slices"
	"strings"
	"testing"

	"fathomlux/render"
	"fathomlux/render/answer"
	"fathomlux/scene/parts"
)

// TestEveryPartIsDescribed: each built-in part has figures, no two under one key, in the order of its kind, and what the
// list of its kind shows.
func TestEveryPartIsDescribed(t *testing.T) {
	at := shelf{catalogue: parts.Builtin()}
	if len(partKinds) != len(parts.Keys()) {
		t.Errorf("%d kinds of parts are listed, there are %d", len(partKinds), len(parts.Keys()))
	}
	for _, k := range partKinds {
		var order []string
		for _, name := range k.names(at.catalogue) {
			p := k.describe(at, name)
			keys := []string{"name", "about"}
			for _, one := range p.figures {
				f := one.(answer.Figure)
				if slices.Contains(keys, f.Key) || f.Title == "" || f.Value == "" || f.Key == "fault" && f.Value != nil {
					t.Errorf("%s %s: figure %+v", k.noun, name, f)
				}
				keys = append(keys, f.Key)
			}
			if order == nil {
				order = keys
			}
			if p.name != name || !slices.Equal(keys, order) {
				t.Errorf("%s %s: %v, want %v", k.noun, name, keys, order)
			}
		}
		for _, key := range strings.Fields(k.listed) {
			if !slices.Contains(order, key) {
				t.Errorf("%s: no figure %s to list", k.noun, key)
			}
		}
	}
}

func TestPartsJSONIsWhole(t *testing.T) {
	var b bytes.Buffer
	if err := answer.WriteJSON(&b, partsAnswer(shelf{catalogue: parts.Builtin()})); err != nil {
		t.Fatal(err)
	}
	var all map[string][]map[string]any
	if err := json.Unmarshal(b.Bytes(), &all); err != nil {
		t.Fatal(err)
	}
	for _, key := range parts.Keys() {
		if len(all[key]) == 0 {
			t.Errorf("no %s", key)
		}
	}
	if o := all["optics"][0]; o["name"] != "bare-120" || o["beam_deg"] != 120.0 || o["centre_cd_klm"] != 318.31 { // A20
		t.Errorf("%v", o)
	}
}

// TestLostFileIsSaid: the list goes on where a measured optic's file cannot be read, and show refuses it.
func TestLostFileIsSaid(t *testing.T) {
	lib := parts.Builtin()
	lib.Optics["lens"] = parts.Optic{Name: "lens", File: "lens.ies", Efficiency: 1}
	at := shelf{catalogue: lib, open: func(string) ([]byte, error) { return nil, errors.New("there is no such file") }}
	var b strings.Builder
	if err := answer.WriteText(&b, partsAnswer(at)); err != nil {
		t.Fatal(err)
	}
	if !strings.Contains(b.String(), "optic lens: lens.ies: there is no such file\n") {
		t.Error("the list does not say so")
	}
	p := describeOptic(at, "lens")
	if _, err := p.draw(t.Context(), render.Look{PixelFactor: 1}, nil); err == nil || !strings.Contains(err.Error(), "there is no such file") {
		t.Errorf("show: %v", err)
	}
	if lines := (situation{scene: p.sample}).at("optic"); lines != nil {
		t.Errorf("cautions %v", lines)
	}
}
