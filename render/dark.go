package render

import (
	"fathomlux/optics/result"
	"fathomlux/render/fig"
	"fathomlux/render/style"
)

// darkWidth is the width of the page, in points.
const darkWidth = 1100.0

// darkDrawing prepares the picture that stands for the flux balance where no module shines: a page that says so takes the place of
// one that an earlier map may have left in the folder.
func darkDrawing(m *result.Map, look Look) drawing {
	const words = "no module shines, so there are no lumens to follow"
	return drawing{name: "books", title: m.Title + ", " + words, draw: func() (*style.Canvas, error) {
		t, err := style.NewTypesetter(look.PixelFactor)
		if err != nil {
			return nil, err
		}
		return fig.DrawPage(t, darkWidth, []fig.Block{
			fig.Heading(t, m.Title, words, darkWidth-2*fig.Margin),
			fig.Paragraph(t, []string{footer(m, look)}, style.SmallFont, darkWidth-2*fig.Margin),
		})
	}}
}
