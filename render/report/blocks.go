package report

import "fathomlux/render/answer"

// BlocksOf returns the parts of an answer that stand on a page: figures side by side as facts, tables, lists, and groups under
// their titles.
func BlocksOf(a answer.Answer) (blocks []Block) {
	var facts []Fact
	flush := func() {
		if len(facts) > 0 {
			blocks = append(blocks, Block{Facts: facts})
		}
		facts = nil
	}
	for _, p := range answer.On(a, answer.Page) {
		if f, is := p.(answer.Figure); is {
			if f.Title != "" {
				facts = append(facts, Fact{Name: f.Title, Value: f.Words()})
			}
			continue
		}
		flush()
		blocks = append(blocks, blocksOf(p)...)
	}
	flush()
	return blocks
}

// blocksOf returns the blocks of one part that is no figure.
func blocksOf(p answer.Part) (blocks []Block) {
	switch p := p.(type) {
	case answer.Table:
		if len(p.Rows) > 0 {
			blocks = []Block{{Table: &Table{Caption: p.Title, Head: p.Head(answer.Page), Rows: p.Cells(answer.Page), Sorts: p.Sorts}}}
		}
	case answer.Lines:
		if len(p.List) > 0 {
			blocks = []Block{{List: p.List}}
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
