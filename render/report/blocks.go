package report

import (
	"strings"
	"unicode"
	"unicode/utf8"

	"fathomlux/render/answer"
)

// BlocksOf returns the parts of an answer that stand on a page: figures side by side as facts, tables, lines as
// sentences of a list or, where there is one alone, as a paragraph, and groups under their titles.
func BlocksOf(a answer.Answer) (blocks []Block) {
	var figures answer.Answer
	flush := func() {
		if facts := FactsOf(figures); len(facts) > 0 {
			blocks = append(blocks, Block{Facts: facts})
		}
		figures = nil
	}
	for _, p := range answer.On(a, answer.Page) {
		if _, is := p.(answer.Figure); is {
			figures = append(figures, p)
			continue
		}
		flush()
		blocks = append(blocks, blocksOf(p)...)
	}
	flush()
	return blocks
}

// FactsOf returns the figures of an answer that have a title.
func FactsOf(a answer.Answer) (facts []Fact) {
	for _, p := range a {
		if f, is := p.(answer.Figure); is && f.Title != "" {
			facts = append(facts, Fact{Name: f.Title, Value: f.Words()})
		}
	}
	return facts
}

// blocksOf returns the blocks of one part that is no figure.
func blocksOf(p answer.Part) (blocks []Block) {
	switch p := p.(type) {
	case answer.Table:
		if len(p.Rows) > 0 {
			blocks = []Block{{Table: &Table{Caption: p.Title, Head: p.Head(answer.Page), Rows: p.Cells(answer.Page),
				Sorts: p.Sorts}}}
		}
	case answer.Lines:
		if len(p.List) > 0 {
			blocks = []Block{{List: sentences(p.List)}}
		}
		if len(p.List) == 1 {
			blocks = []Block{{Text: sentence(p.List[0])}}
		}
	case answer.Group:
		if p.Title != "" {
			blocks = []Block{{Heading: p.Title}}
		}
		blocks = append(blocks, BlocksOf(p.Parts)...)
	case answer.Groups:
		for _, g := range p.List {
			blocks = append(blocks, blocksOf(g)...)
		}
	}
	return blocks
}

// sentence writes a line of an answer as a sentence: with a capital at its beginning and a full stop.
func sentence(line string) string {
	first, size := utf8.DecodeRuneInString(line)
	if size > 0 && first != utf8.RuneError {
		line = string(unicode.ToUpper(first)) + line[size:]
	}
	if size == 0 || strings.HasSuffix(line, ".") {
		return line
	}
	return line + "."
}

func sentences(lines []string) (list []string) {
	for _, line := range lines {
		list = append(list, sentence(line))
	}
	return list
}
