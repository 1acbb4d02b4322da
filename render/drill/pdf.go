package drill

import "fathomlux/render/style"

// paged is a surface of pages: Open shows a window of the sheet at a place of the page, and nothing beside it; after Close
// all is shown again, with the sheet's origin where it was.
type paged interface {
	style.Surface
	Open(window box, at point)
	Close()
}

// pdf returns the pages as one file.
func (s *sheet) pdf(t tiling) ([]byte, error) {
	meta := style.Meta{Title: s.ts.Clean(plain(s.plan.heading()), headFont), Software: s.ts.Clean(plain("fathomlux "+s.plan.Version), headFont)}
	d := style.NewDocument(s.ts, t.wideMM, t.highMM, 1, meta)
	for page := range t.pages() {
		d.AddPage()
		s.drawPage(d, t, page)
	}
	data, err := d.Bytes()
	if err != nil {
		return nil, err
	}
	return neverScaled(data)
}
