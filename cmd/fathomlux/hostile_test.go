package main

import (
	"bytes"
	"context"
	"encoding/xml"
	"errors"
	"fmt"
	"html"
	"io"
	"io/fs"
	"os"
	"os/exec"
	"path/filepath"
	"slices"
	"strings"
	"testing"

	"fathomlux/scene/document"
	"fathomlux/scene/longtest"
)

// hostileName tries to be markup; what reads from right to left has letters of its own, which may pass.
const hostileName = "<script>alert(1)</script> \"q\" 'a' & ${1} \u05d0\u05d1"

// hostileScene is a scene whose texts are markup, and whose comments turn the direction of writing.
const hostileScene = `# a comment that turns ` + "\u202e and \u2066 about" + `
title: "<script>alert(1)</script> \"q\" 'a' & ${1} \u05d0\u05d1"
tank:
  length: 600 mm
  width: 300 mm
  height: 300 mm
  water: {depth: 260 mm}
  floor: {diffuse: 0}
  obstacles: [{name: "</text><script>2</script>", from: [10 mm, 10 mm, 1 mm], to: [60 mm, 60 mm, 60 mm]}]
rails:
  - name: "]]></title><image href='x' onload=alert(3)> \u05d0"
    profile: bar-40x20
    length: 550 mm
    above_water: 120 mm
    modules: {part: quad-neutral, optic: own-lens, count: 2, spacing: 240 mm, current: 350 mA}
wiring: {driver: own-700, strings: 2, hours: 9 h, tariff: 0.28 EUR/kWh}
goal: {plane: floor, illuminance: 500 lx}
parts:
  optics: {own-lens: {about: "\"><img src=x onerror=alert(4)>", beam: 50 deg, efficiency: 0.9}}
  drivers: {own-700: {about: "<b>'&", based_on: cc-700}}
`

// TestHostileTextsOnEverySurface runs the commands on a scene whose name and texts would be markup or commands, and reads
// all that they print and write.
func TestHostileTextsOnEverySurface(t *testing.T) {
	t.Parallel()
	dir := t.TempDir()
	file := filepath.Join(dir, "x\u202e\x1b[31m<b>.yaml")
	if err := os.WriteFile(file, []byte(hostileScene), 0o666); err != nil {
		t.Skip("no such names here: ", err)
	}
	more := [][]string{{"report", "--step", "20 mm", "--optic", "round-60", "--scale", "0.5"}, {"check", "--json"}, append(strings.Fields(faultCalls["map"]), "--json"),
		{"compare", "--optic", "round-60", "--step", "20 mm", "--scale", "0.5"}, {"sweep", "--vary", "height=140mm", "--step", "20 mm", "--scale", "0.5"}}
	for i, call := range append(longtest.Pick(nil, more), [][]string{
		{"check"}, append(strings.Fields(faultCalls["map"]), "--preview"), {"wire"}, {"bill"}, {"heat"}, {"drill"}, {"parts"}, {"show"},
	}...) {
		args := append(slices.Clone(call), file)
		if call[0] == "show" {
			args = []string{"parts", "show", "own-lens", file}
		}
		out := filepath.Join(dir, fmt.Sprintf("out%d", i))
		if !slices.Contains([]string{"check", "parts"}, call[0]) {
			args = append(args, "--out", out)
		}
		var said, erred bytes.Buffer
		if status := run(context.Background(), streams{In: strings.NewReader(""), Out: &said, Err: &erred}, args); status != 0 {
			t.Errorf("%q ends with %d: %s", call, status, &erred)
		}
		steersNothing(t, fmt.Sprint(call), said.String()+erred.String())
		_ = filepath.WalkDir(out, func(path string, d fs.DirEntry, err error) error {
			if err == nil && !d.IsDir() {
				surface(t, path)
			}
			return nil
		})
	}
}

// steersNothing tells of characters that a screen would obey.
func steersNothing(t *testing.T, what, text string) {
	t.Helper()
	for i, r := range text {
		if r != '\n' && r != '\t' && r != '\r' && document.Unsafe(r) {
			t.Errorf("%s holds %U: %q", what, r, text[max(0, i-40):min(len(text), i+40)])
			return
		}
	}
}

// surface reads one file as what shows it would.
func surface(t *testing.T, path string) {
	t.Helper()
	data, err := os.ReadFile(path)
	if err != nil {
		t.Fatal(err)
	}
	name := filepath.Base(path)
	switch filepath.Ext(path) {
	case ".png":
		return
	case ".svg":
		vectorSurface(t, name, data)
	case ".pdf":
		paperSurface(t, path, data)
		return
	case ".html":
		pageSurface(t, string(data))
	}
	steersNothing(t, name, string(data))
}

// vectorSurface: an SVG holds shapes and texts alone, and the title among them.
func vectorSurface(t *testing.T, name string, data []byte) {
	t.Helper()
	var text strings.Builder
	for d := xml.NewDecoder(bytes.NewReader(data)); ; {
		token, err := d.Token()
		if errors.Is(err, io.EOF) {
			break
		}
		if err != nil {
			t.Fatalf("%s: %v", name, err)
		}
		switch v := token.(type) {
		case xml.StartElement:
			if slices.Contains([]string{"script", "image", "foreignObject", "a", "use", "iframe", "b"}, v.Name.Local) {
				t.Errorf("%s holds <%s>", name, v.Name.Local)
			}
			for _, a := range v.Attr {
				if strings.HasPrefix(strings.ToLower(a.Name.Local), "on") || a.Name.Local == "href" {
					t.Errorf("%s: <%s %s=%q>", name, v.Name.Local, a.Name.Local, a.Value)
				}
			}
		case xml.CharData:
			text.Write(v)
		}
	}
	if !strings.Contains(text.String(), hostileName) {
		t.Errorf("%s does not show the title as it is: %.300s", name, text.String())
	}
}

// paperSurface: a PDF does nothing, and shows the title.
func paperSurface(t *testing.T, path string, data []byte) {
	t.Helper()
	for _, deed := range []string{"/JavaScript", "/JS", "/URI", "/Launch", "/OpenAction", "/AA"} {
		if bytes.Contains(data, []byte(deed)) {
			t.Errorf("%s holds %s", filepath.Base(path), deed)
		}
	}
	if _, err := exec.LookPath("pdftotext"); err != nil {
		return
	}
	text, err := exec.Command("pdftotext", "-raw", path, "-").Output()
	if err != nil || !strings.Contains(string(text), `<script>alert(1)</script> "q" 'a' & ${1}`) {
		t.Errorf("%s: %v, %.300s", filepath.Base(path), err, text)
	}
	// pdftotext itself puts U+202B and U+202C around what reads from right to left
	steersNothing(t, filepath.Base(path), strings.NewReplacer("\f", "", "\u202b", "", "\u202c", "").Replace(string(text)))
}

// pageSurface: a report has one script, its own, and shows the title and the comment's characters as text.
func pageSurface(t *testing.T, page string) {
	t.Helper()
	if n := strings.Count(strings.ToLower(page), "<script"); n != 1 {
		t.Errorf("the report has %d scripts", n)
	}
	plain := html.UnescapeString(page)
	for _, want := range []string{"<h1><bdi>" + hostileName + "</bdi></h1>", `turns \u202e and \u2066 about`} {
		if !strings.Contains(plain, want) {
			t.Errorf("the report does not show %q", want)
		}
	}
}

// faultCalls are small calls of the commands that write, in which OUT is the folder to write to, SCENE the scene, and FOLDER
// where it lies with what else calls need; see killFolder. What names none of them is followed by scene and folder.
var faultCalls = map[string]string{
	"map":        "map --engine straight --step 20mm --plane floor --scale 0.5",
	"map, all":   "map SCENE --step 20mm --face back --at 200mm,100mm,floor --tolerance --emit rays.txt --scale 0.5 --out OUT",
	"map, part":  "map --engine traced --photons 100000 --step 20mm --share 1/2",
	"join":       "join FOLDER/out/map-1-of-2.part FOLDER/out/map-2-of-2.part --out OUT",
	"compare":    "compare --optic round-60 --step 20mm --scale 0.5",
	"sweep":      "sweep --vary spacing=100mm:180mm:20mm --step 20mm --scale 0.5",
	"arrange":    "arrange --step 40mm --round 20mm --scale 0.5",
	"propose":    "propose --modules-at-most 2 --only quad-neutral,round-40,bar-40x20 --rows 1 --height 100mm --scale 0.5",
	"meter":      "meter SCENE FOLDER/readings.csv --scale 0.5 --out OUT",
	"sheet":      "meter --sheet",
	"wire":       "wire --scale 0.5",
	"heat":       "heat --scale 0.5",
	"drill":      "drill",
	"bill":       "bill",
	"day":        "day --step 20mm --scale 0.5",
	"report":     "report --step 20mm --scale 0.5",
	"view":       "view --size 320x200 --scale 0.5",
	"shimmer":    "shimmer FOLDER/wavy.yaml --step 4mm --still --scale 0.5 --out OUT",
	"parts show": "parts show round-40 SCENE --scale 0.5 --out OUT",
	"new":        "new OUT/scene.yaml --force",
	"new-part":   "new-part module OUT/part.yaml --force",
	"man":        "man OUT",
}
