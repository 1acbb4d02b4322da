package live

import (
	"bufio"
	"bytes"
	"context"
	"encoding/binary"
	"encoding/json"
	"errors"
	"fmt"
	"math"
	"net/http"
	"net/http/httptest"
	"reflect"
	"strings"
	"testing"

	"fathomlux/optics/result"
	"fathomlux/scene"
	"fathomlux/scene/edit"
	"fathomlux/scene/finding"
)

const token = "0123456789abcdef"

func readFoyer(t testing.TB) *scene.Scene {
	t.Helper()
	sc, err := scene.Read("../../examples/foyer/foyer.yaml")
	if err != nil {
		t.Fatal(err)
	}
	return sc
}

// spacingGlance is a light that says where the second module is, so that answers can be told apart.
func spacingGlance(_ context.Context, sc *scene.Scene, _ result.View) (*result.Glance, error) {
	g := &result.Glance{Plane: result.Plane{Name: "floor", DepthM: sc.Tank.Water.DepthM}, Verdict: finding.GoalMissed.Of(finding.Text("as"), finding.Text(" you see")), PowerW: 12, MirroredShare: 0.05}
	g.Plane.Field = result.Field{Grid: result.Grid{NX: 2, NY: 1, StepXM: 0.5, StepYM: 0.5}, Illuminance: []float64{sc.Rails[0].Modules[1].XM, 2}, PPFD: []float64{3, 4}}
	g.Section = result.Section{N: 1, NZ: 2, Illuminance: []float64{5, 6}}
	return g, nil
}

func handler(t testing.TB, c Config) (*Handler, *scene.Scene) {
	t.Helper()
	c.Token, c.Hosts = token, []string{"127.0.0.1:1", "localhost:1"}
	if c.Open == nil {
		c.Open = func(*scene.Scene) (Glance, error) { return spacingGlance, nil }
	}
	h := New(c)
	sc := readFoyer(t)
	show(t, h, sc)
	return h, sc
}

// retitled is a scene with another title in its file.
func retitled(t testing.TB, sc *scene.Scene, title string) *scene.Scene {
	t.Helper()
	text := bytes.Replace(sc.Source(), []byte("title: "), []byte("title: "+title+" #"), 1)
	other, err := scene.Parse(sc.File, text, sc.Open)
	if err != nil {
		t.Fatal(err)
	}
	return other
}

func show(t testing.TB, h *Handler, sc *scene.Scene) {
	t.Helper()
	if err := h.Show(sc); err != nil {
		t.Fatal(err)
	}
}

// call sends one request as a page on this machine would, spoilt by change.
func call(h http.Handler, method, path string, body any, change func(*http.Request)) *httptest.ResponseRecorder {
	data, _ := json.Marshal(body)
	r := httptest.NewRequest(method, "http://127.0.0.1:1"+path, bytes.NewReader(data))
	if body != nil {
		r.Header.Set("Content-Type", "application/json")
	}
	if change != nil {
		change(r)
	}
	w := httptest.NewRecorder()
	h.ServeHTTP(w, r)
	return w
}

func TestWhoMayCall(t *testing.T) {
	h, sc := handler(t, Config{})
	state := State{numberOf(sc), edit.SettingOf(sc)}
	for name, c := range map[string]struct {
		method, path string
		change       func(*http.Request)
		want         int
	}{
		"the page":                   {"GET", "/" + token + "/", nil, 200},
		"the page by its other name": {"GET", "/" + token + "/", func(r *http.Request) { r.Host = "localhost:1" }, 200},
		"its script":                 {"GET", "/" + token + "/page/main.js", nil, 200},
		"light":                      {"POST", "/" + token + "/light", nil, 200},
		"light from the page itself": {"POST", "/" + token + "/light", func(r *http.Request) {
			r.Header.Set("Origin", "http://127.0.0.1:1")
			r.Header.Set("Sec-Fetch-Site", "same-origin")
		}, 200},
		"no token":              {"GET", "/", nil, 403},
		"another token":         {"GET", "/" + strings.Repeat("0", 16) + "/", nil, 403},
		"part of the token":     {"GET", "/" + token[:8] + "/scene", nil, 403},
		"light without a token": {"POST", "/light", nil, 403},
		"another host":          {"GET", "/" + token + "/", func(r *http.Request) { r.Host = "rebound.example:1" }, 421},
		"another port":          {"GET", "/" + token + "/scene", func(r *http.Request) { r.Host = "127.0.0.1:2" }, 421},
		"no host":               {"GET", "/" + token + "/scene", func(r *http.Request) { r.Host = "" }, 421},
		"another site's post":   {"POST", "/" + token + "/light", func(r *http.Request) { r.Header.Set("Origin", "http://rebound.example") }, 403},
		"a page without origin": {"POST", "/" + token + "/save", func(r *http.Request) { r.Header.Set("Origin", "null") }, 403},
		"another site's form":   {"POST", "/" + token + "/save", func(r *http.Request) { r.Header.Set("Sec-Fetch-Site", "cross-site") }, 403},
		"a neighbour's form":    {"POST", "/" + token + "/save", func(r *http.Request) { r.Header.Set("Sec-Fetch-Site", "same-site") }, 403},
		"a form's type":         {"POST", "/" + token + "/light", func(r *http.Request) { r.Header.Set("Content-Type", "text/plain") }, 415},
		"light by get":          {"GET", "/" + token + "/light", nil, 405},
		"no such file":          {"GET", "/" + token + "/page/other.js", nil, 404},
		"a way out":             {"GET", "/" + token + "/page/..%2flive.go", nil, 404},
		"no report":             {"GET", "/" + token + "/report", nil, 404},
	} {
		var body any
		if c.method == "POST" {
			body = state
		}
		if got := call(h, c.method, c.path, body, c.change); got.Code != c.want {
			t.Errorf("%s: %d %s; want %d", name, got.Code, got.Body, c.want)
		} else if csp := got.Header().Get("Content-Security-Policy"); !strings.Contains(csp, "default-src 'none'") {
			t.Errorf("%s: policy %q", name, csp)
		}
	}
	if none := New(Config{Hosts: []string{"127.0.0.1:1"}}); call(none, "GET", "//", nil, nil).Code != 403 {
		t.Error("a handler without a token lets everyone in")
	}
}

// head is what the tests read of an answer's text.
type head struct {
	Refused string
	Verdict string
	Stripes string
	Plane   struct {
		NX     int
		DepthM float64 `json:"depth_m"`
	}
	Section struct{ NZ int }
	Lux     struct{ Scale struct{ High float64 } }
}

// unpack takes an answer apart as the page does.
func unpack(t testing.TB, data []byte) (text head, refused string, numbers []float32) {
	t.Helper()
	n := binary.LittleEndian.Uint32(data)
	var either head
	if err := json.Unmarshal(data[4:4+n], &either); err != nil || n%4 != 0 {
		t.Fatalf("%v in %d bytes of %s", err, n, data[4:4+n])
	}
	for at := 4 + n; int(at) < len(data); at += 4 {
		numbers = append(numbers, math.Float32frombits(binary.LittleEndian.Uint32(data[at:])))
	}
	return either, either.Refused, numbers
}

func TestLight(t *testing.T) {
	h, sc := handler(t, Config{})
	state := State{numberOf(sc), edit.SettingOf(sc)}
	state.Rails[0].Modules[1].XM, state.WaterDepthM = 0.25, 0.4
	got := call(h, "POST", "/"+token+"/light", state, nil)
	text, refused, numbers := unpack(t, got.Body.Bytes())
	if want := []float32{0.25, 2, 3, 4, 5, 6}; refused != "" || !reflect.DeepEqual(numbers, want) {
		t.Errorf("%q, %v; want %v", refused, numbers, want)
	}
	if text.Plane.NX != 2 || text.Plane.DepthM != 0.4 || text.Verdict != ", but the goal is not met: as you see." || !strings.Contains(text.Stripes, "wall mirrors") || text.Section.NZ != 2 || text.Lux.Scale.High != 2 {
		t.Errorf("%+v", text)
	}
}

func TestLightRefuses(t *testing.T) {
	h, sc := handler(t, Config{})
	for want, spoil := range map[string]func(*State){
		"not above the cover":       func(s *State) { s.Rails[0].AboveWaterM = 0.01 },
		"there is no optic":         func(s *State) { s.Rails[0].Optic = "<script>" },
		"the setting has 0 rails":   func(s *State) { s.Rails = nil },
		"load it again":             func(s *State) { s.Version = 7 },
		"there is no kind of water": func(s *State) { s.WaterKind = "" },
	} {
		state := State{numberOf(sc), edit.SettingOf(sc)}
		spoil(&state)
		got := call(h, "POST", "/"+token+"/light", state, nil)
		if _, refused, _ := unpack(t, got.Body.Bytes()); got.Code != 200 || !strings.Contains(refused, want) {
			t.Errorf("%d %q; want %q", got.Code, refused, want)
		}
	}
	for name, body := range map[string]string{"no JSON": "{", "unknown key": `{"versoin": 1}`, "two documents": `{} {}`, "too long": `{"water":"` + strings.Repeat("a", maxBody) + `"}`, "a number too large": `{"depth_m": 1e999}`} {
		r := httptest.NewRequest("POST", "http://127.0.0.1:1/"+token+"/light", strings.NewReader(body))
		r.Header.Set("Content-Type", "application/json; charset=utf-8")
		w := httptest.NewRecorder()
		h.ServeHTTP(w, r)
		if w.Code != 400 {
			t.Errorf("%s: %d %s", name, w.Code, w.Body)
		}
	}
}

// TestLightStopsWithThePage ends a request while it is computed.
func TestLightStopsWithThePage(t *testing.T) {
	begun := make(chan struct{})
	h, sc := handler(t, Config{Open: func(*scene.Scene) (Glance, error) {
		return func(ctx context.Context, _ *scene.Scene, _ result.View) (*result.Glance, error) {
			close(begun)
			<-ctx.Done()
			return nil, ctx.Err()
		}, nil
	}})
	ctx, cancel := context.WithCancel(context.Background())
	go func() { <-begun; cancel() }()
	got := call(h, "POST", "/"+token+"/light", State{numberOf(sc), edit.SettingOf(sc)}, func(r *http.Request) { *r = *r.WithContext(ctx) })
	if got.Body.Len() != 0 {
		t.Errorf("a page that has gone is told %q", got.Body)
	}
}

// TestSettingsThereAndBack: a setting that has been to the page is the scene's own.
func TestSettingsThereAndBack(t *testing.T) {
	for _, name := range []string{"foyer", "frag", "shelf"} {
		sc, err := scene.Read("../../examples/" + name + "/" + name + ".yaml")
		if err != nil {
			t.Fatal(err)
		}
		var back State
		data, err := json.Marshal(State{numberOf(sc), edit.SettingOf(sc)})
		if err == nil {
			err = json.Unmarshal(data, &back)
		}
		if err != nil || !reflect.DeepEqual(back, State{numberOf(sc), edit.SettingOf(sc)}) {
			t.Errorf("%s: %v, %+v", name, err, back)
		}
		same, err := edit.Set(sc, back.Setting)
		if err != nil {
			t.Fatal(err)
		}
		for i, m := range same.Rails[0].Modules {
			if was := sc.Rails[0].Modules[i]; math.Abs(m.XM-was.XM) > 1e-9 || m.Optic != was.Optic || math.Abs(m.CurrentA-was.CurrentA) > 1e-9 {
				t.Errorf("%s: module %d is %+v, was %+v", name, i, m, was)
			}
		}
	}
}

func TestSave(t *testing.T) {
	var got Draft
	h, sc := handler(t, Config{Save: func(d Draft) (string, error) {
		if got = d; d.Name == "taken" {
			return "", errors.New("taken.yaml exists")
		}
		return d.Name + ".yaml", nil
	}})
	state := State{numberOf(sc), edit.SettingOf(sc)}
	state.Rails[0].Modules[0].XM = 0.15
	answer := call(h, "POST", "/"+token+"/save", saveRequest{State: state, Name: "mine", Overwrite: true}, nil)
	if answer.Body.String() != "{\"saved\":\"mine.yaml\"}\n" || !got.Overwrite || !strings.Contains(string(got.Text), "x: 150 mm") || got.Scene.Rails[0].Modules[0].XM != 0.15 {
		t.Errorf("%s; %+v", answer.Body, got)
	}
	answer = call(h, "POST", "/"+token+"/save", saveRequest{State: state, Name: "taken"}, nil)
	if answer.Body.String() != "{\"refused\":\"taken.yaml exists\"}\n" {
		t.Errorf("%s", answer.Body)
	}
}

// outline is what the tests read of what a page is told of a scene.
type outline struct {
	Title      string
	LengthM    float64            `json:"length_m"`
	Cover      map[string]float64 // null where there is none
	Colours    []string
	Boxes      []any
	SaveAs     string `json:"save_as"`
	HasReport  bool   `json:"has_report"`
	Disk       int64
	NamedPlane bool `json:"named_plane"`
	State      State
	Controls   map[string]map[string]any
}

func TestOutline(t *testing.T) {
	h, sc := handler(t, Config{First: "foyer.yaml", Files: &folder{}, Report: reportWriter})
	var o outline
	if err := json.Unmarshal(call(h, "GET", "/"+token+"/scene", nil, nil).Body.Bytes(), &o); err != nil {
		t.Fatal(err)
	}
	if o.LengthM != 1.18 || math.Abs(o.Cover["to_m"]-0.034) > 1e-12 || len(o.Colours) != 256 || o.Colours[0] != "#190133" || o.SaveAs != "foyer.yaml-free" || !o.HasReport || len(o.Boxes) != 1 {
		t.Errorf("%+v", o)
	}
	if o.State.Version != numberOf(sc) || o.Disk != numberOf(sc) || o.State.Rails[0].AboveWaterM != 0.16 || o.State.Rails[0].Optic != "round-40" || o.State.Rails[0].CurrentA != 0.45 || !o.NamedPlane {
		t.Errorf("%+v", o.State)
	}
	for key, want := range map[string][2]float64{"depth _m": {0.001, 20}, "tilt _rad": {-80 * math.Pi / 180, 80 * math.Pi / 180}, "count ": {1, 400}, "extra ": {-100, 100}} {
		name, end, _ := strings.Cut(key, " ")
		c := o.Controls[name]
		for k, limit := range []string{"low", "high"} {
			if got, is := c[limit+end].(float64); !is || math.Abs(got-want[k]) > 1e-8 || c["about"] == "" {
				t.Errorf("%s: %+v, want %v", name, c, want)
			}
		}
	}
}

// TestVersions listens to the versions of a scene. A page that was opened with the first one goes on with it however many
// there are, and after a reload too; only the newest are kept ready.
func TestVersions(t *testing.T) {
	opened := 0
	h, sc := handler(t, Config{Open: func(*scene.Scene) (Glance, error) { opened++; return spacingGlance, nil }})
	server := httptest.NewServer(h)
	defer server.Close()
	h.config.Hosts = append(h.config.Hosts, strings.TrimPrefix(server.URL, "http://"))
	ctx, cancel := context.WithCancel(context.Background())
	defer cancel()
	r, _ := http.NewRequestWithContext(ctx, "GET", server.URL+"/"+token+"/versions", nil)
	answer, err := http.DefaultClient.Do(r)
	if err != nil {
		t.Fatal(err)
	}
	defer answer.Body.Close()
	lines := bufio.NewScanner(answer.Body)
	const saves = 3 * keptOpen
	all := []*scene.Scene{sc}
	for n := range saves {
		if want := fmt.Sprintf(`data: {"foyer.yaml":%d}`, numberOf(all[n])); !lines.Scan() || lines.Text() != want || !lines.Scan() {
			t.Fatalf("%q, %v; want %s", lines.Text(), lines.Err(), want)
		}
		all = append(all, retitled(t, sc, fmt.Sprint("after save ", n+1)))
		show(t, h, all[n+1])
	}
	for range 2 {
		got := call(h, "POST", "/"+token+"/light", State{numberOf(sc), edit.SettingOf(sc)}, nil)
		if _, refused, numbers := unpack(t, got.Body.Bytes()); refused != "" || len(numbers) != 6 {
			t.Errorf("the first version: %s, %v", refused, numbers)
		}
	}
	open := 0
	for _, v := range h.shelf.all {
		if v.glance != nil {
			open++
		}
	}
	if opened != saves+2 || open != keptOpen {
		t.Errorf("%d versions were opened, %d are open", opened, open)
	}
	at := func(v int64) string { return fmt.Sprint("scene?file=foyer.yaml&version=", v) }
	newest := fmt.Sprint("after save ", saves)
	for path, want := range map[string]string{at(numberOf(sc)): sc.Title, at(numberOf(all[1])): "after save 1", "scene?file=foyer.yaml": newest, at(99): newest} {
		var o outline
		if err := json.Unmarshal(call(h, "GET", "/"+token+"/"+path, nil, nil).Body.Bytes(), &o); err != nil || o.Title != want {
			t.Errorf("%s: %v, %q; want %q", path, err, o.Title, want)
		}
	}
}

// TestPageAsksNobodyElse reads the page's files: they name no other address and turn no text into markup.
func TestPageAsksNobodyElse(t *testing.T) {
	files, err := page.ReadDir("page")
	if err != nil || len(files) < 6 {
		t.Fatalf("%d files, %v", len(files), err)
	}
	for _, f := range files {
		data, err := page.ReadFile("page/" + f.Name())
		if err != nil {
			t.Fatal(err)
		}
		text := strings.ReplaceAll(string(data), "http://www.w3.org/2000/svg", "")
		for _, bad := range []string{"http:", "https:", "//cdn", "innerHTML", "outerHTML", "insertAdjacentHTML", "document.write", "eval(", "style=\"", "onclick="} {
			if strings.Contains(text, bad) {
				t.Errorf("%s holds %s", f.Name(), bad)
			}
		}
	}
}
