package drill

import (
	"bytes"
	"fmt"
	"image/color"
	"time"

	"codeberg.org/go-fonts/liberation/liberationsansbold"
	"codeberg.org/go-fonts/liberation/liberationsansregular"
	"codeberg.org/go-pdf/fpdf"

	"fathomlux/render/style"
)

// fixedDate stands in all files, so that one plan gives the same bytes at any time.
var fixedDate = time.Date(2000, 1, 1, 0, 0, 0, 0, time.UTC)

// pdf returns the pages as one file.
func (s *sheet) pdf(t tiling) ([]byte, error) {
	f := fpdf.NewCustom(&fpdf.InitType{UnitStr: "mm", Size: fpdf.SizeType{Wd: t.wideMM, Ht: t.highMM}})
	f.SetMargins(0, 0, 0)
	f.SetAutoPageBreak(false, 0)
	f.SetCreationDate(fixedDate)
	f.SetModificationDate(fixedDate)
	f.SetCatalogSort(true)
	f.SetTitle(s.ts.Clean(plain(s.plan.heading()), headFont), true)
	f.SetCreator(s.ts.Clean(plain("fathomlux "+s.plan.Version), headFont), true)
	f.AddUTF8FontFromBytes("sans", "", liberationsansregular.TTF)
	f.AddUTF8FontFromBytes("sans", "B", liberationsansbold.TTF)
	for page := range t.pages() {
		f.AddPage()
		s.drawPage(&pdfPen{f: f, ts: s.ts}, t, page)
	}
	var b bytes.Buffer
	if err := f.Output(&b); err != nil {
		return nil, fmt.Errorf("pdf: %w", err)
	}
	return neverScaled(b.Bytes())
}

// pdfPen draws on the current page; off is where the sheet's origin lies on it.
type pdfPen struct {
	f   *fpdf.Fpdf
	ts  *style.Typesetter
	off point
}

func (p *pdfPen) open(window box, at point) {
	p.off = point{at.x - window.left, at.y - window.top}
	p.f.ClipRect(at.x, at.y, window.right-window.left, window.bottom-window.top, false)
}

func (p *pdfPen) close() { p.f.ClipEnd() }

func (p *pdfPen) use(s stroke) {
	p.f.SetLineWidth(s.widthMM)
	p.f.SetDrawColor(int(s.colour.R), int(s.colour.G), int(s.colour.B))
	p.f.SetDashPattern(s.dashMM, 0)
}

func (p *pdfPen) line(s stroke, points ...point) {
	p.use(s)
	for i := 1; i < len(points); i++ {
		p.f.Line(points[i-1].x+p.off.x, points[i-1].y+p.off.y, points[i].x+p.off.x, points[i].y+p.off.y)
	}
}

func (p *pdfPen) rect(b box, s stroke) {
	p.use(s)
	p.f.Rect(b.left+p.off.x, b.top+p.off.y, b.right-b.left, b.bottom-b.top, "D")
}

func (p *pdfPen) fill(b box, c color.NRGBA) {
	p.f.SetFillColor(int(c.R), int(c.G), int(c.B))
	p.f.Rect(b.left+p.off.x, b.top+p.off.y, b.right-b.left, b.bottom-b.top, "F")
}

func (p *pdfPen) circle(c point, radius float64, s stroke) {
	p.use(s)
	p.f.Circle(c.x+p.off.x, c.y+p.off.y, radius, "D")
}

func (p *pdfPen) write(l label) {
	text := style.Visual(p.ts.Clean(plain(l.text), l.font))
	weight := ""
	if l.font.Bold {
		weight = "B"
	}
	p.f.SetFont("sans", weight, l.font.SizePt)
	p.f.SetTextColor(int(l.colour.R), int(l.colour.G), int(l.colour.B))
	x, y, half := l.at.x+p.off.x, l.at.y+p.off.y, capShare*l.font.SizePt/ptPerMM/2
	back := l.anchor * textWidth(p.ts, text, l.font)
	if !l.up {
		p.f.Text(x-back, y+half, text)
		return
	}
	p.f.TransformBegin()
	p.f.TransformRotate(90, x+half, y)
	p.f.Text(x+half-back, y, text)
	p.f.TransformEnd()
}
