package report

import (
	"bytes"
	"crypto/sha256"
	_ "embed"
	"encoding/base64"
	"errors"
	"fmt"
	"html/template"
	"io"
	"regexp"
	"strings"

	"fathomlux/scene/document"
)

//go:embed page/page.html
var pageHTML string

//go:embed page/page.css
var pageCSS string

//go:embed page/page.js
var pageJS string

var page = template.Must(template.New("page").Funcs(template.FuncMap{"picture": place, "columns": columns,
	"short": short,
	"lines": lines}).Parse(pageHTML))

// Write writes the page. The same data gives the same bytes. Errors: a section's ID that cannot serve or is taken, a
// figure that is no PNG or SVG or has no words, a row of another length than its head, and those of w.
func Write(w io.Writer, p Page) error {
	if err := check(p); err != nil {
		return err
	}
	var b bytes.Buffer
	err := page.Execute(&b, struct {
		Page
		Style  template.CSS
		Script template.JS
		Policy string
	}{p, template.CSS(pageCSS), template.JS(pageJS), policy()}) // both are our own files
	if err != nil {
		return err
	}
	_, err = io.WriteString(w, document.VisibleLines(b.String()))
	return err
}

// policy lets the page use what it holds and nothing else: no request, and no script or style that came in with a text.
func policy() string {
	return fmt.Sprintf("default-src 'none'; img-src data:; style-src '%s'; script-src '%s'; base-uri 'none'; "+
		"form-action 'none'", digest(pageCSS), digest(pageJS))
}

func digest(text string) string {
	sum := sha256.Sum256([]byte(text))
	return "sha256-" + base64.StdEncoding.EncodeToString(sum[:])
}

var sectionID = regexp.MustCompile(`^[a-z][a-z-]*$`)

// check finds what would make a page that cannot be read.
func check(p Page) error {
	if p.Title == "" {
		return errors.New("report: the title is empty")
	}
	ids := map[string]bool{}
	for _, s := range p.Sections {
		if !sectionID.MatchString(s.ID) || ids[s.ID] {
			return fmt.Errorf("report: section %q: the id %q is taken or not of lower-case letters and hyphens", s.Title,
				s.ID)
		}
		ids[s.ID] = true
		for _, b := range s.Blocks {
			if err := b.check(); err != nil {
				return fmt.Errorf("report: section %q: %w", s.Title, err)
			}
		}
	}
	for _, c := range p.Cautions {
		if !ids[c.SectionID] {
			return fmt.Errorf("report: caution %q: there is no section %q", c.Text, c.SectionID)
		}
	}
	return nil
}

func (b Block) check() error {
	if f := b.Figure; f != nil {
		if f.Lead == "" || f.Alt == "" {
			return fmt.Errorf("figure %s: the words beside it are missing", f.Name)
		}
		if _, err := place(f); err != nil {
			return err
		}
	}
	if t := b.Table; t != nil {
		for i, r := range t.Rows {
			if len(r) != len(t.Head) {
				return fmt.Errorf("table %q: row %d has %d cells, the head has %d", t.Caption, i+1, len(r),
					len(t.Head))
			}
		}
	}
	return nil
}

// lines divides a file's text into lines, whatever their ends are.
func lines(text string) []string {
	text = strings.ReplaceAll(strings.ReplaceAll(text, "\r\n", "\n"), "\r", "\n")
	return strings.Split(strings.TrimRight(text, "\n"), "\n")
}
