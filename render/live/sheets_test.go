package live

import (
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"net/url"
	"strings"
	"testing"

	"fathomlux/optics/result"
	"fathomlux/render/output"
	"fathomlux/scene"
	"fathomlux/scene/edit"
)

// TestSheetsAreOfTheState: a sheet is asked for with states in its address, and drawn of the scenes that they make; with
// a format it comes as a file, and why it cannot be drawn is never one.
func TestSheetsAreOfTheState(t *testing.T) {
	t.Parallel()
	var got Wanted
	h, sc := handler(t, Config{Sheet: func(_ context.Context, w Wanted) (output.File, error) {
		if got = w; w.Name == "dry" {
			return output.File{}, errors.New("no water")
		}
		end := map[string]string{"heat": "svg", "money": "txt"}[w.Name]
		return output.File{Name: "foyer-" + w.Name + "." + w.Format + end, Data: []byte("drawn")}, nil
	}})
	moved := State{numberOf(sc), edit.SettingOf(sc)}
	moved.Rails[0].AboveWaterM = 0.2
	text := func(s State) string {
		data, _ := json.Marshal(s)
		return "state=" + url.QueryEscape(string(data))
	}
	own := text(State{numberOf(sc), edit.SettingOf(sc)})
	viewed := strings.TrimSuffix(own, "%7D") + url.QueryEscape(`,"view":{"depth_m":0.1}}`) + "&quantity=ppfd"
	for name, want := range map[string]struct {
		path, kind, file string
		code             int
	}{
		"a picture":        {"heat?" + own, "image/svg+xml", "", 200},
		"a table":          {"money?" + own, "text/plain; charset=utf-8", "", 200},
		"a file":           {"heating?format=pdf&" + own, "application/pdf", `attachment; filename=foyer-heating.pdf`, 200},
		"two states":       {"compare?format=png&name=A&name=B&" + own + "&" + text(moved), "image/png", `attachment; filename=foyer-compare.png`, 200},
		"without names":    {"compare?" + own + "&" + text(moved), "text/plain; charset=utf-8", "", 400},
		"no state":         {"heat", "text/plain; charset=utf-8", "", 400},
		"no version":       {`heat?state={"version":7}`, "text/plain; charset=utf-8", "", 200},
		"not drawn":        {"dry?" + own, "text/plain; charset=utf-8", "", 200},
		"no file of it":    {"dry?format=png&" + own, "text/plain; charset=utf-8", "", 422},
		"what is shown":    {"plan?format=svg&" + viewed, "image/svg+xml", `attachment; filename=foyer-plan.svg`, 200},
		"an unknown value": {`heat?state={"version":7,"colour":1}`, "text/plain; charset=utf-8", "", 400},
	} {
		w := call(h, "GET", "/"+token+"/sheet/"+want.path, nil, nil)
		if w.Code != want.code || w.Header().Get("Content-Type") != want.kind || w.Header().Get("Content-Disposition") != want.file {
			t.Errorf("%s: %d %v: %s", name, w.Code, w.Header(), w.Body)
		}
		switch {
		case name == "two states" && (len(got.Scenes) != 2 || got.Scenes[1].Rails[0].AboveWaterM != 0.2 || got.Names[1] != "B" || got.Glance != nil):
			t.Errorf("two states: %+v", got)
		case name == "what is shown" && (got.Glance == nil || got.Quantity != result.PPFD):
			t.Errorf("what is shown: %+v", got)
		}
	}
}

// TestReportTellsHowFarItIs: a page that waits for a report hears of its steps, and then finds it written; one that
// cannot be is said.
func TestReportTellsHowFarItIs(t *testing.T) {
	t.Parallel()
	times, fault := 0, error(nil)
	h, _, sc := folderHandler(t, Config{Report: func(_ context.Context, sc *scene.Scene, tell func(done, total int)) ([]byte, error) {
		times++
		tell(3, 9)
		return []byte(fmt.Sprint(sc.Rails[0].AboveWaterM)), fault
	}})
	state := State{numberOf(sc), edit.SettingOf(sc)}
	state.Rails[0].AboveWaterM = 0.2
	lines := call(h, "POST", "/"+token+"/job/report", jobRequest{File: "foyer.yaml", State: &state}, nil).Body.String()
	if lines != "{\"done\":0,\"total\":1}\n{\"done\":3,\"total\":9}\n{\"written\":true}\n" {
		t.Errorf("it tells %s", lines)
	}
	data, _ := json.Marshal(state)
	if got := call(h, "GET", "/"+token+"/report?file=foyer.yaml&state="+url.QueryEscape(string(data)), nil, nil); got.Body.String() != "0.2" || times != 1 {
		t.Errorf("%d %s, written %d times", got.Code, got.Body, times)
	}
	fault = errors.New("too hot")
	state.Rails[0].AboveWaterM = 0.3
	if o := ask(t, h, "POST", "job/report", jobRequest{File: "foyer.yaml", State: &state}); o["refused"] != "too hot" {
		t.Errorf("a fault: %v", o)
	}
}
