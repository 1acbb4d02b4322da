package main

import (
	"regexp"
	"slices"
	"strings"

	"fathomlux/render/report"
)

var (
	celsius   = regexp.MustCompile(`(\d) C\b`)
	thousands = regexp.MustCompile(`(\d)[ \x{a0}\x{202f}](\d{3})\b`)
	onPaper   = strings.NewReplacer("umol/m2/s", ppfdUnit, "mol/m2/day", dliUnit, " mm2", " mm²")
)

// paperUnits writes a sentence's units as a page can and a terminal may not: 35 °C, 0.5 mm².
func paperUnits(text string) string { return onPaper.Replace(celsius.ReplaceAllString(text, "$1 °C")) }

// plainThousands writes 4 087 as 4087, as tables and pictures have it.
func plainThousands(text string) string { return thousands.ReplaceAllString(text, "$1$2") }

func paperFacts(list []report.Fact) {
	for i := range list {
		list[i].Name, list[i].Value = paperUnits(list[i].Name), paperUnits(list[i].Value)
	}
}

// onPaperUnits sets the units of a whole page. Titles, files and the call stay as they were written.
func onPaperUnits(p *report.Page) {
	p.Verdict = plainThousands(paperUnits(p.Verdict))
	paperFacts(p.Facts)
	for i := range p.Cautions {
		p.Cautions[i].Text = paperUnits(p.Cautions[i].Text)
	}
	for _, s := range p.Sections {
		if s.ID == sourceID {
			continue
		}
		for i := range s.Blocks {
			blockUnits(&s.Blocks[i])
		}
	}
}

func blockUnits(b *report.Block) {
	b.Heading, b.Text = paperUnits(b.Heading), paperUnits(b.Text)
	b.List, b.Cautions = paperList(b.List), paperList(b.Cautions)
	paperFacts(b.Facts)
	paperFacts(b.Words)
	for i := range b.Steps {
		b.Steps[i].What, b.Steps[i].Cautions = paperUnits(b.Steps[i].What), paperList(b.Steps[i].Cautions)
	}
	if f := b.Figure; f != nil {
		f.Lead, f.Alt = paperUnits(f.Lead), paperUnits(f.Alt)
	}
	if t := b.Table; t != nil {
		t.Caption, t.Head = paperUnits(t.Caption), paperList(t.Head)
		for i := range t.Rows {
			t.Rows[i] = paperList(t.Rows[i])
		}
	}
}

// paperList is a new list: the old one may be part of another answer.
func paperList(list []string) []string {
	fresh := slices.Clone(list)
	for i, text := range fresh {
		fresh[i] = paperUnits(text)
	}
	return fresh
}
