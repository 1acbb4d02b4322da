package drill

import (
	"bytes"
	"errors"
	"fmt"

	"fathomlux/render/style"
)

// paged is a surface of pages: Open shows a window of the sheet at a place of the page, and nothing beside it; after
// Close all is shown again, with the sheet's origin where it was.
type paged interface {
	style.Surface
	Open(window box, at point)
	Close()
}

// pdf returns the pages as one file.
func (s *sheet) pdf(t tiling) ([]byte, error) {
	meta := style.Meta{
		Title:    s.ts.Clean(plain(s.plan.heading()), headFont),
		Software: s.ts.Clean(plain("fathomlux "+s.plan.Version), headFont),
	}
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

// neverScaled asks viewers not to scale the pages when they print: it puts /PrintScaling /None into the catalog,
// which is the last object before the table of references. Source: ISO 32000-1, 12.2, viewer preferences.
func neverScaled(pdf []byte) ([]byte, error) {
	const catalog, wish, table = "/Type /Catalog\n", "/ViewerPreferences << /PrintScaling /None >>\n", "startxref\n"
	at, end, xref := bytes.LastIndex(pdf, []byte(catalog))+len(catalog), bytes.LastIndex(pdf, []byte(table)), 0
	if end > at {
		_, _ = fmt.Sscan(string(pdf[end+len(table):]), &xref)
	}
	if at < len(catalog) || xref < at || bytes.Count(pdf[at:xref], []byte(" obj\n")) > 0 {
		return nil, errors.New("pdf: the catalog is not the last object")
	}
	out := fmt.Appendf(nil, "%s%s%s%s%d\n%%%%EOF\n", pdf[:at], wish, pdf[at:end], table, xref+len(wish))
	copy(out, "%PDF-1.7")
	return out, nil
}
