package main

import (
	"bytes"
	"context"
	"encoding/json"
	"errors"
	"strings"
	"testing"

	"fathomlux/render"
	"fathomlux/render/answer"
	"fathomlux/scene/parts"
)

// TestEveryPartIsDescribed: each built-in part has figures, no two under one key, and a line for the list.
func TestEveryPartIsDescribed(t *testing.T) {
	at := shelf{catalogue: parts.Builtin()}
	if len(partKinds) != len(parts.Keys()) {
		t.Errorf("%d kinds of parts are listed, there are %d", len(partKinds), len(parts.Keys()))
	}
	for _, k := range partKinds {
		for _, name := range k.names(at.catalogue) {
			p := k.describe(at, name)
			keys := map[string]bool{"name": true, "about": true}
			for _, f := range p.figures {
				if f.key != "" && keys[f.key] || f.key+f.title == "" || f.value == "" {
					t.Errorf("%s %s: figure %+v", k.noun, name, f)
				}
				keys[f.key] = true
			}
			if keys["fault"] || !strings.Contains(strings.TrimPrefix(p.line(), p.about), ", ") || p.name != name {
				t.Errorf("%s %s: %v", k.noun, name, p.line())
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
	if !strings.Contains(b.String(), "optic lens: lens.ies: there is no such file") {
		t.Error("the list does not say so")
	}
	if _, err := drawOptic(context.Background(), at, "lens", render.Look{PixelFactor: 1}); err == nil || !strings.Contains(err.Error(), "there is no such file") {
		t.Errorf("show: %v", err)
	}
	if lines := (situation{scene: sampleOptic(at, "lens")}).at("optic"); lines != nil {
		t.Errorf("cautions %v", lines)
	}
}
