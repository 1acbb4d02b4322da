package report_test

import (
	"bytes"
	"crypto/sha256"
	"encoding/base64"
	"encoding/xml"
	"errors"
	"html"
	"image"
	"image/png"
	"io"
	"regexp"
	"strings"
	"testing"

	"fathomlux/render/answer"
	"fathomlux/render/report"
)

// hostile is a text that tries what a text can try: markup, quotes, a turned direction, a terminal's command, a bad byte.
const hostile = "</title><script>alert(1)</script>\" onload='x' & \u202egnp.exe \x1b[2J \xff <b>"

// shown is how it is to be read.
const shown = `</title><script>alert(1)</script>" onload='x' & \u202egnp.exe \u001b[2J \xff <b>`

const smallSVG = `<svg xmlns="http://www.w3.org/2000/svg" width="120.4" height="60"><script>alert(2)</script></svg>`

func smallPNG(t testing.TB) []byte {
	t.Helper()
	var b bytes.Buffer
	if err := png.Encode(&b, image.NewGray(image.Rect(0, 0, 40, 20))); err != nil {
		t.Fatal(err)
	}
	return b.Bytes()
}

// sample is a page with one of everything, all texts the given one.
func sample(t testing.TB, text string) report.Page {
	figure := answer.Figure{Title: text, Value: text}
	return report.Page{
		Title: text, Verdict: text, State: report.NotMet, Footer: text,
		First: []any{report.Measures{{Title: text, Value: text, Asked: text, Share: 0.4}, {Title: text, Value: text, Asked: text, Share: 1.7, Met: true}},
			report.Beside{{text, figure}, {report.Cautions(nil)}}},
		Cautions: []report.Caution{{Text: text, ID: "light", Title: text}},
		Sections: []report.Section{
			{ID: "light", Title: text, Parts: []any{
				text, answer.Group{Title: text}, []string{text, text}, []string(nil), "", answer.Answer(nil), report.Cautions(nil), answer.Lines{}, nil,
				report.Picture{Name: "a.png", Lead: text, Alt: text, Image: smallPNG(t), Scale: 2},
				report.Picture{Name: "b.svg", Lead: text, Alt: text, Image: []byte(smallSVG)},
				answer.Table{Title: text, Columns: []answer.Column{{Title: "name"}, {Title: text}, {Title: "mean", Unit: "lx"}},
					Rows: [][]any{{text, text, 12.0}, {"b", "-", "3.5 W"}}},
				report.Cautions{text},
			}},
			{ID: "build-sheet", Title: text, Parts: []any{
				report.Steps{{What: text, Cautions: []string{text}}, {What: text}},
				answer.Answer{figure}, report.Words{figure},
				report.Listing{Name: text, Text: text + "\r\n\tindented\rlast\n\n"},
			}},
		},
	}
}

func write(t testing.TB, p report.Page) string {
	t.Helper()
	var b bytes.Buffer
	if err := report.Write(&b, p); err != nil {
		t.Fatal(err)
	}
	return b.String()
}

// inside returns what stands between two texts, once each.
func inside(t testing.TB, text, from, to string) string {
	t.Helper()
	_, rest, ok := strings.Cut(text, from)
	content, _, ok2 := strings.Cut(rest, to)
	if !ok || !ok2 || strings.Count(text, from) != 1 {
		t.Fatalf("%q and %q do not stand there once", from, to)
	}
	return content
}

// element is one element of a page with the text below it.
type element struct {
	name string
	attr map[string]string
	text string
}

// parse reads a page as strict XML, which our HTML is but for style and script, and returns its elements in order.
func parse(t testing.TB, page string) []*element {
	t.Helper()
	page = strings.Replace(page, inside(t, page, "<style>", "</style>"), "", 1)
	page = strings.Replace(page, inside(t, page, "<script>", "</script>"), "", 1)
	d := xml.NewDecoder(strings.NewReader(page))
	var all, open []*element
	for {
		token, err := d.Token()
		if errors.Is(err, io.EOF) {
			if len(open) > 0 {
				t.Fatalf("<%s> stays open", open[len(open)-1].name)
			}
			return all
		}
		if err != nil {
			t.Fatal(err)
		}
		switch v := token.(type) {
		case xml.StartElement:
			e := &element{name: v.Name.Local, attr: map[string]string{}}
			for _, a := range v.Attr {
				e.attr[a.Name.Local] = a.Value
			}
			all, open = append(all, e), append(open, e)
		case xml.EndElement:
			open = open[:len(open)-1]
		case xml.CharData:
			for _, e := range open {
				e.text += string(v)
			}
		}
	}
}

// TestPageIsSound: well-formed, one h1, no level of heading left out, every picture with words, every link with its aim,
// every label unique.
func TestPageIsSound(t *testing.T) {
	page := write(t, sample(t, "Tank"))
	level, pictures, ids := 0, 0, map[string]bool{}
	all := parse(t, page)
	for _, e := range all {
		if id := e.attr["id"]; id != "" && ids[id] {
			t.Errorf("id %q is there twice", id)
		}
		ids[e.attr["id"]] = true
		if len(e.name) == 2 && e.name[0] == 'h' && e.name[1] >= '1' && e.name[1] <= '6' {
			next := int(e.name[1] - '0')
			if next > level+1 || next == 1 && level > 0 {
				t.Errorf("<%s>%s follows a heading of level %d", e.name, e.text, level)
			}
			level = next
		}
		if e.name == "img" {
			pictures++
			if e.attr["alt"] == "" || e.attr["width"] == "" || e.attr["height"] == "" {
				t.Errorf("a picture lacks words or size: alt %q, %q x %q", e.attr["alt"], e.attr["width"], e.attr["height"])
			}
		}
	}
	if n := strings.Count(page, `class="caution"`); n != 2 {
		t.Errorf("%d boxes of cautions, want the one at the head and the one with lines", n)
	}
	if pictures != 2 || level == 0 {
		t.Errorf("%d pictures, last heading %d", pictures, level)
	}
	for _, e := range all {
		if aim, ok := strings.CutPrefix(e.attr["href"], "#"); ok && !ids[aim] {
			t.Errorf("the link %q leads nowhere", aim)
		}
	}
	for _, want := range []string{`width="20" height="10"`, `width="120" height="60"`, `<td class="figure"><bdi>12</bdi></td>`, `<td class="brief"><bdi>Tank</bdi></td>`, `class="has" width="40.0"`, `class="has" width="100.0"`, `<div class="missed">`, `<html lang="en">`, "Goal not met", `<table class="sorts">`} {
		if !strings.Contains(page, want) {
			t.Errorf("%q is missing", want)
		}
	}
}

// TestNothingOutside: no address leads out of the page, and the policy forbids it too.
func TestNothingOutside(t *testing.T) {
	page := write(t, sample(t, "Tank"))
	for _, e := range parse(t, page) {
		for name, value := range e.attr {
			if (name == "src" || name == "href" || name == "srcset" || name == "action") && !strings.HasPrefix(value, "data:image/") && !strings.HasPrefix(value, "#") {
				t.Errorf("<%s %s=%.80q>", e.name, name, value)
			}
		}
		if e.name == "link" || e.name == "iframe" || e.name == "object" || e.name == "base" {
			t.Errorf("<%s> is there", e.name)
		}
	}
	rest := regexp.MustCompile(`data:image/[a-z+]+;base64,[A-Za-z0-9+/=]+`).ReplaceAllString(html.UnescapeString(page), "")
	for _, word := range []string{"http:", "https:", "url(", "@import", "//www", "fetch(", "XMLHttp"} {
		if strings.Contains(rest, word) {
			t.Errorf("%q is on the page", word)
		}
	}
}

// TestPolicyFits: the policy names the very style and script that stand there.
func TestPolicyFits(t *testing.T) {
	page := write(t, sample(t, hostile))
	policy := html.UnescapeString(inside(t, page, `http-equiv="Content-Security-Policy" content="`, `"`))
	for kind, content := range map[string]string{"style-src": inside(t, page, "<style>", "</style>"), "script-src": inside(t, page, "<script>", "</script>")} {
		sum := sha256.Sum256([]byte(content))
		if want := kind + " 'sha256-" + base64.StdEncoding.EncodeToString(sum[:]) + "'"; !strings.Contains(policy, want) || len(content) < 100 {
			t.Errorf("%s is not in %s", want, policy)
		}
	}
	if !strings.HasPrefix(policy, "default-src 'none'; img-src data:;") || strings.Contains(policy, "unsafe") {
		t.Error(policy)
	}
}

// TestHostileTextsStayText: every place shows the text as it is; nothing of it becomes an element or an attribute.
func TestHostileTextsStayText(t *testing.T) {
	page := write(t, sample(t, hostile))
	plain := parse(t, write(t, sample(t, "Tank")))
	all := parse(t, page)
	if len(all) != len(plain) {
		t.Fatalf("%d elements, %d with a tame text", len(all), len(plain))
	}
	for i, e := range all {
		if e.name != plain[i].name || len(e.attr) != len(plain[i].attr) {
			t.Errorf("<%s %v> in place of <%s %v>", e.name, e.attr, plain[i].name, plain[i].attr)
		}
		if e.name == "bdi" && plain[i].text == "Tank" && e.text != shown {
			t.Errorf("%q in place of %q", e.text, shown)
		}
		if e.name == "img" && e.attr["alt"] != shown {
			t.Errorf("alt %q", e.attr["alt"])
		}
	}
	for _, r := range page {
		if r < ' ' && r != '\n' && r != '\t' || r == '\u202e' || r == '\ufffd' {
			t.Errorf("the page holds %U", r)
		}
	}
	listing := inside(t, page, "<code>", "</code>")
	if !strings.Contains(listing, "<span>\tindented</span>\n<span>last</span>\n") || strings.Count(listing, "<span>") != 3 {
		t.Errorf("listing %q", listing)
	}
}

func TestSameBytes(t *testing.T) {
	if first, second := write(t, sample(t, hostile)), write(t, sample(t, hostile)); first != second {
		t.Error("two pages of the same data differ")
	}
}

// TestRefuses: a picture that is none is an error that says which, and a full disk is one.
func TestRefuses(t *testing.T) {
	for _, image := range []string{"", "GIF89a", `<svg width="9"/>`, `<svg width="0" height="9"/>`} {
		p := report.Page{Sections: []report.Section{{ID: "a", Parts: []any{report.Picture{Name: "a.png", Image: []byte(image)}}}}}
		var b bytes.Buffer
		if err := report.Write(&b, p); err == nil || !strings.Contains(err.Error(), "picture a.png: neither a PNG nor") || b.Len() > 0 {
			t.Errorf("%q: %v; %d bytes are written", image, err, b.Len())
		}
	}
	if err := report.Write(failing{}, sample(t, "Tank")); !errors.Is(err, errFull) {
		t.Errorf("a full disk gives %v", err)
	}
}

var errFull = errors.New("full")

type failing struct{}

func (failing) Write([]byte) (int, error) { return 0, errFull }

// TestFigureColumns: columns of figures stand to the right, those with words to the left, the first always.
func TestFigureColumns(t *testing.T) {
	var columns []answer.Column
	for _, title := range []string{"n", "lx", "signed", "words", "empty", "dash"} {
		columns = append(columns, answer.Column{Title: title})
	}
	table := answer.Table{Columns: columns, Rows: [][]any{
		{"1", "12.5", "+0.1", "3 W, and more words than a figure has", "", nil}, {"2", "", "-0.2", "x", "", 4}}}
	page := write(t, report.Page{Title: "t", Sections: []report.Section{{ID: "a", Title: "a", Parts: []any{table}}}})
	row := inside(t, page, "<thead><tr>", "</tr>")
	want := `<th scope="col">n</th><th scope="col" class="figure">lx</th><th scope="col" class="figure">signed</th><th scope="col">words</th><th scope="col">empty</th><th scope="col" class="figure">dash</th>`
	if strings.TrimSpace(row) != want {
		t.Errorf("got  %s\nwant %s", row, want)
	}
	if strings.Contains(page, `class="sorts"`) || !strings.Contains(page, "No goal set") || !strings.Contains(page, `class="wide short"`) {
		t.Error("an order that counts can be sorted, the goal is told wrong, or a short table breaks over pages")
	}
}

// TestPartsOfAnswers: figures side by side are one list, what is for programs alone is left out, lines are sentences, and
// a group stands under its title.
func TestPartsOfAnswers(t *testing.T) {
	group := answer.Group{Title: "the driver", Parts: answer.Answer{answer.Lines{List: []string{"load 3 W", "it fits."}}}}
	page := write(t, report.Page{Title: "t", Sections: []report.Section{{ID: "a", Title: "a", Parts: []any{
		answer.Answer{answer.Figure{Title: "load", Unit: "W", Value: 3.0}, answer.Figure{Key: "load_w", Value: 3.0},
			answer.Figure{Title: "drivers", Value: 1}, answer.Lines{List: []string{"in a terminal"}, In: answer.Text},
			answer.Lines{List: []string{"one driver"}}, answer.Groups{List: []answer.Group{group}}}}}}})
	want := `<section id="a">
<h2><bdi>a</bdi></h2>
<dl class="facts">
<div><dt><bdi>load</bdi></dt><dd><bdi>3 W</bdi></dd></div>
<div><dt><bdi>drivers</bdi></dt><dd><bdi>1</bdi></dd></div>
</dl>
<p><bdi>One driver.</bdi></p>
<h3><bdi>the driver</bdi></h3>
<ul>
<li><bdi>Load 3 W.</bdi></li>
<li><bdi>It fits.</bdi></li>
</ul>
</section>`
	if got := page[strings.Index(page, "<section id"):]; !strings.HasPrefix(got, want) {
		t.Errorf("got  %s\nwant %s", got[:min(len(got), len(want))], want)
	}
}
