package live

import (
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"net/url"
	"strings"
	"testing"

	"fathomlux/scene"
	"fathomlux/scene/edit"
)

func reportWriter(_ context.Context, sc *scene.Scene, _ func(done, total int)) ([]byte, error) {
	return []byte("<p>" + sc.Title), nil
}

// TestReport: the newest version's report is written once, under a policy of its own, and one that cannot be is told.
func TestReport(t *testing.T) {
	times := 0
	var fault error
	h, sc := handler(t, Config{First: "foyer.yaml", Report: func(_ context.Context, sc *scene.Scene, tell func(done, total int)) ([]byte, error) {
		tell(1, 2)
		times++
		return []byte("<p>" + sc.Title), fault
	}})
	for range 2 {
		got := call(h, "GET", "/"+token+"/report", nil, nil)
		if got.Code != 200 || got.Body.String() != "<p>"+sc.Title || !strings.Contains(got.Header().Get("Content-Security-Policy"), "sandbox") {
			t.Errorf("%d %s under %v", got.Code, got.Body, got.Header())
		}
	}
	if times != 1 {
		t.Errorf("one version's report is written %d times", times)
	}
	show(t, h, retitled(t, sc, "another"))
	if got := call(h, "GET", "/"+token+"/report", nil, nil); got.Body.String() != "<p>another" {
		t.Errorf("the new version's report is %s", got.Body)
	}
	fault = errors.New("the <b> is wrong")
	show(t, h, retitled(t, sc, "a third"))
	got := call(h, "GET", "/"+token+"/report", nil, nil)
	if got.Code != 500 || !strings.Contains(got.Body.String(), "the <b> is wrong") || !strings.HasPrefix(got.Header().Get("Content-Type"), "text/plain") {
		t.Errorf("%d %s as %s", got.Code, got.Body, got.Header().Get("Content-Type"))
	}
	fault = nil
	if got := call(h, "GET", "/"+token+"/report", nil, nil); got.Code != 200 {
		t.Errorf("a fault is kept: %d %s", got.Code, got.Body)
	}
}

// TestReportIsOfTheState: the report that a page asks for is of what stands on its screen, not of the file.
func TestReportIsOfTheState(t *testing.T) {
	h, sc := handler(t, Config{First: "foyer.yaml", Report: func(_ context.Context, sc *scene.Scene, tell func(done, total int)) ([]byte, error) {
		tell(1, 2)
		return []byte(fmt.Sprint(sc.Rails[0].AboveWaterM)), nil
	}})
	state := State{numberOf(sc), edit.SettingOf(sc)}
	state.Rails[0].AboveWaterM += 0.01
	data, _ := json.Marshal(state)
	want := fmt.Sprint(state.Rails[0].AboveWaterM)
	if got := call(h, "GET", "/"+token+"/report?state="+url.QueryEscape(string(data)), nil, nil); got.Code != 200 || got.Body.String() != want {
		t.Errorf("%d %s, want %s", got.Code, got.Body, want)
	}
	if got := call(h, "GET", "/"+token+"/report", nil, nil); got.Body.String() == want {
		t.Errorf("the file's report is that of the state: %s", got.Body)
	}
	if got := call(h, "GET", "/"+token+`/report?state=%7B"version":7%7D`, nil, nil); got.Code != 400 {
		t.Errorf("a state of no version: %d %s", got.Code, got.Body)
	}
}
