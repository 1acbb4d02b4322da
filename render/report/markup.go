package report

import (
	"fmt"
	"html"
	"reflect"
	"strings"

	"fathomlux/render/answer"
)

// markup is the page while it is written, with the first error.
type markup struct {
	strings.Builder
	err error
}

// put writes a form with texts in the places of its verbs. What HTML gives a meaning to is escaped in them, so that
// markup comes from the forms alone. In forms, attributes stand in double quotes.
func (m *markup) put(form string, texts ...any) {
	for i, text := range texts {
		texts[i] = html.EscapeString(fmt.Sprint(text))
	}
	fmt.Fprintf(m, form, texts...)
}

// when returns a piece of markup where something holds, and nothing else.
func when(holds bool, piece string) string {
	if !holds {
		return ""
	}
	return piece
}

func (m *markup) page(p Page) {
	// The page uses what it holds and nothing else: no request, and no script or style that came in with a text.
	policy := fmt.Sprintf("default-src 'none'; img-src data:; style-src '%s'; script-src '%s'; base-uri 'none'; "+
		"form-action 'none'", digest(pageCSS), digest(pageJS))
	m.put(`<!DOCTYPE html>
<html lang="en">
<head>
<meta charset="utf-8"/>
<meta http-equiv="Content-Security-Policy" content="%s"/>
<meta name="viewport" content="width=device-width, initial-scale=1"/>
<meta name="generator" content="%s"/>
<title>%s: light report</title>
<style>`, policy, p.Footer, p.Title)
	m.WriteString(pageCSS + "</style>\n</head>\n<body>")
	m.header(p)
	m.put("\n<main>")
	for _, s := range p.Sections {
		m.put("\n<section id=\"%s\">\n<h2><bdi>%s</bdi></h2>", s.ID, s.Title)
		m.parts(flat(nil, s.Parts...))
		m.put("\n</section>")
	}
	m.put("\n</main>\n<footer><p><bdi>%s</bdi></p></footer>\n<script>", p.Footer)
	m.WriteString(pageJS + "</script>\n</body>\n</html>\n")
}

// header writes what stands before the sections: verdict, figures, cautions and contents.
func (m *markup) header(p Page) {
	m.put(`
<header>
<p class="kind">Light report</p>
<h1><bdi>%s</bdi></h1>
<div class="verdict state%v">
<p class="state">%s</p>
<p><bdi>%s</bdi></p>
</div>`, p.Title, int(p.State), p.State, p.Verdict)
	m.parts(flat(nil, p.First...))
	if len(p.Cautions) > 0 {
		m.put("\n<p class=\"caution\"><strong>Cautions</strong> stand where the work is done:")
		for i, c := range p.chapters() {
			m.put(when(i > 0, ";")+" <a href=\"#%s\"><bdi>%s</bdi></a>", c.ID, c.Title)
		}
		m.put(". Local codes and licensed practice decide.</p>")
	}
	m.put("\n<nav aria-label=\"Contents\">\n<h2>Contents</h2>\n<ol>")
	for _, s := range p.Sections {
		m.put("\n<li><a href=\"#%s\"><bdi>%s</bdi></a></li>", s.ID, s.Title)
	}
	m.put("\n</ol>\n</nav>\n</header>")
}

// empty tells whether a part is nothing, or a text or a list without anything in it.
func empty(part any) bool {
	v := reflect.ValueOf(part)
	return part == nil || (v.Kind() == reflect.String || v.Kind() == reflect.Slice) && v.Len() == 0
}

// parts writes what flat returns, but no part that is empty.
func (m *markup) parts(parts []any) {
	for _, part := range parts {
		if empty(part) {
			continue
		}
		switch p := part.(type) {
		case heading:
			m.put("\n<h3><bdi>%s</bdi></h3>", p)
		case string:
			m.put("\n<p><bdi>%s</bdi></p>", p)
		case Picture:
			m.picture(p)
		case Beside:
			m.put("\n<div class=\"beside\">")
			for _, column := range p {
				m.put("\n<div>")
				m.parts(column)
				m.put("</div>")
			}
			m.put("\n</div>")
		case Measures:
			m.measures(p)
		case table:
			m.table(p)
		case []string:
			m.items(p)
		case Steps:
			m.steps(p)
		case facts:
			m.facts(p)
		case Words:
			m.words(p)
		case Listing:
			m.put("\n<p class=\"file\"><bdi>%s</bdi></p>\n<pre class=\"listing\" dir=\"ltr\"><code>", p.Name)
			for _, line := range lines(p.Text) {
				m.put("<span>%s</span>\n", line)
			}
			m.put("</code></pre>")
		case Cautions:
			m.put("\n<div class=\"caution\">\n<p><strong>Cautions</strong></p>")
			m.items(p)
			m.put("\n</div>")
		}
	}
}

func (m *markup) items(list []string) {
	m.put("\n<ul>")
	for _, text := range list {
		m.put("\n<li><bdi>%s</bdi></li>", text)
	}
	m.put("\n</ul>")
}

func (m *markup) picture(p Picture) {
	at, err := place(p)
	if err != nil && m.err == nil {
		m.err = err
	}
	m.put("\n<figure>\n<figcaption><bdi>%s</bdi></figcaption>", p.Lead)
	m.put("\n<div class=\"panel%s\"><img"+when(at.Flat, ` class="flat"`), when(p.Lines, " lines"))
	m.put(" src=\"%s\" width=\"%v\" height=\"%v\" alt=\"%s\"/></div>", at.Source, at.Width, at.Height, p.Alt)
	m.put("\n</figure>")
}

func (m *markup) measures(list Measures) {
	m.put("\n<dl class=\"measures\">")
	for _, one := range list {
		m.put(`
<div class="%s"><dt><bdi>%s</bdi></dt>
<dd><strong><bdi>%s</bdi></strong> <bdi>%s</bdi> <span class="word">%[1]s</span>
<svg viewBox="0 0 100 4" preserveAspectRatio="none" aria-hidden="true"><rect class="room" width="100" height="4"/>`,
			one.word(), one.Title, one.Value, one.Asked)
		m.put("<rect class=\"has\" width=\"%s\" height=\"4\"/></svg></dd></div>", one.bar())
	}
	m.put("\n</dl>")
}

func (m *markup) steps(list Steps) {
	m.put("\n<ol class=\"steps\">")
	for _, step := range list {
		m.put("\n<li><bdi>%s</bdi>", step.What)
		for _, c := range step.Cautions {
			m.put("\n<p class=\"care\"><strong>Caution:</strong> <bdi>%s</bdi></p>", c)
		}
		m.put("\n</li>")
	}
	m.put("\n</ol>")
}

// facts writes figures side by side.
func (m *markup) facts(list facts) {
	m.put("\n<dl class=\"facts\">")
	for _, part := range list {
		f, _ := part.(answer.Figure)
		m.put("\n<div><dt><bdi>%s</bdi></dt><dd><bdi>%s</bdi></dd></div>", f.Title, f.Words())
	}
	m.put("\n</dl>")
}

// words writes figures one below the other.
func (m *markup) words(list Words) {
	m.put("\n<dl class=\"words\">")
	for _, part := range list {
		f, _ := part.(answer.Figure)
		m.put("\n<dt><bdi>%s</bdi></dt>\n<dd><bdi>%s</bdi></dd>", f.Title, f.Words())
	}
	m.put("\n</dl>")
}

func (m *markup) table(t table) {
	m.put("\n<div class=\"wide%s\" role=\"region\" aria-label=\"%s\" tabindex=\"0\">", when(t.Short, " short"), t.Title)
	m.WriteString("\n<table" + when(t.Title != "" && len(t.Rows) > 1, ` class="sorts"`))
	m.put(">\n<caption><bdi>%s</bdi></caption>\n<thead><tr>", t.Title)
	for i, head := range t.Head {
		m.put(`<th scope="col"`+when(t.Figures[i], ` class="figure"`)+`>%s</th>`, head)
	}
	m.put("</tr></thead>\n<tbody>")
	for _, row := range t.Rows {
		m.put("\n<tr>")
		for i, cell := range row {
			if i == 0 {
				m.put(`<th scope="row" class="%s"><bdi>%s</bdi></th>`, class(false, cell), cell)
			} else {
				m.put(`<td class="%s"><bdi>%s</bdi></td>`, class(t.Figures[i], cell), cell)
			}
		}
		m.put("</tr>")
	}
	m.put("\n</tbody>\n</table>\n</div>")
}
