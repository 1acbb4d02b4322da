package live

import (
	"bytes"
	"context"
	"encoding/binary"
	"encoding/json"
	"errors"
	"testing"

	"fathomlux/scene/edit"
)

// TestSeenIsOfTheState: the picture of the lit tank is asked for with a state and an eye, and comes behind its words;
// why there is none is an answer too.
func TestSeenIsOfTheState(t *testing.T) {
	t.Parallel()
	var got Looked
	h, sc := handler(t, Config{Eyes: []Choice{{Name: "sofa", Says: "a sofa"}}, Seen: func(_ context.Context, l Looked) (Seen, error) {
		if got = l; l.From != "sofa" {
			return Seen{}, errors.New("nobody is there")
		}
		return Seen{PNG: []byte("drawn"), WhiteCd: 7, Words: "bright", Notes: []string{"a", "b"}}, nil
	}})
	request := seenRequest{State: State{numberOf(sc), edit.SettingOf(sc)}, From: "sofa", WhiteCd: 5, Rough: true}
	request.Rails[0].AboveWaterM = 0.2
	look := func(request any) (head map[string]any, rest []byte) {
		t.Helper()
		w := call(h, "POST", "/"+token+"/seen", request, nil)
		body := w.Body.Bytes()
		if w.Code != 200 || len(body) < 4 {
			t.Fatalf("%d: %s", w.Code, body)
		}
		n := 4 + binary.LittleEndian.Uint32(body)
		if err := json.Unmarshal(body[4:n], &head); err != nil {
			t.Fatal(err)
		}
		return head, body[n:]
	}
	head, rest := look(request)
	if head["words"] != "bright" || head["white_cd"] != 7.0 || len(head["notes"].([]any)) != 2 || !bytes.Equal(rest, []byte("drawn")) {
		t.Errorf("%v, %q", head, rest)
	}
	if got.Scene.Rails[0].AboveWaterM != 0.2 || got.WhiteCd != 5 || !got.Rough {
		t.Errorf("it is asked for %+v", got)
	}
	request.From = "below"
	if head, rest := look(request); head["refused"] != "nobody is there" || len(rest) > 0 {
		t.Errorf("refused: %v, %q", head, rest)
	}
	request.Version++
	if head, _ := look(request); head["refused"] == nil {
		t.Errorf("no version: %v", head)
	}
	if w := call(h, "POST", "/"+token+"/seen", map[string]any{"colour": 1}, nil); w.Code != 400 {
		t.Errorf("an unknown key: %d", w.Code)
	}
	if eyes := ask(t, h, "GET", "scene?file=foyer.yaml", nil)["eyes"].([]any); len(eyes) != 1 || eyes[0].(map[string]any)["says"] != "a sofa" {
		t.Errorf("eyes: %v", eyes)
	}
	blind, _ := handler(t, Config{})
	if w := call(blind, "POST", "/"+token+"/seen", request, nil); w.Code != 404 {
		t.Errorf("where there are no pictures: %d", w.Code)
	}
}
