// Package chart draws numbers over numbers: the design chart (mean against evenness, one mark a candidate), a value over
// two swept variables, and several lines over one. Axes, lines and marks are drawn by gonum.org/v1/plot on our own pages, so
// that fonts, colours and the guard against texts that meet are those of all other pictures.
// It knows no tank and no light: names of axes come with their units, values in the units that are shown.
// Next: package sheet, which sets lines below maps, package style for pages and text.
package chart

import (
	"fathomlux/render/fig"
	"fathomlux/render/style"
)

// pageText is the width of the text on a chart's page, in points.
const pageText = fig.PageWidth - 2*fig.Margin

// pageWords are the texts around a chart.
type pageWords struct {
	title, subtitle string
	notes           []string
	footer          string
}

// finishPage sets a chart's strips between its title and its notes.
func finishPage(t *style.Typesetter, w pageWords, chart []fig.Block) (*style.Canvas, error) {
	blocks := append([]fig.Block{fig.Heading(t, w.title, w.subtitle, pageText)}, chart...)
	blocks = append(blocks,
		fig.Paragraph(t, w.notes, style.TextFont, pageText),
		fig.Paragraph(t, []string{w.footer}, style.SmallFont, pageText))
	return fig.DrawPage(t, fig.PageWidth, blocks)
}
