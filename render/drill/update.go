package drill

import (
	"bytes"
	"errors"
	"fmt"
	"regexp"
	"strconv"
)

var (
	rootEntry = regexp.MustCompile(`/Root (\d+) 0 R`)
	infoEntry = regexp.MustCompile(`/Info (\d+) 0 R`)
	sizeEntry = regexp.MustCompile(`/Size (\d+)`)
	lastStart = regexp.MustCompile(`startxref\s+(\d+)\s+%%EOF\s*$`)
)

// neverScaled asks viewers not to scale the pages when they print: it appends an incremental update with a catalog that has
// /PrintScaling /None. Source: ISO 32000-1, incremental updates and viewer preferences.
func neverScaled(pdf []byte) ([]byte, error) {
	trailerAt := bytes.LastIndex(pdf, []byte("trailer"))
	start := lastStart.FindSubmatch(pdf)
	if trailerAt < 0 || start == nil || !bytes.HasPrefix(pdf, []byte("%PDF-1.")) {
		return nil, errors.New("pdf: no trailer to update")
	}
	trailer := pdf[trailerAt:]
	root, info, size := rootEntry.FindSubmatch(trailer), infoEntry.FindSubmatch(trailer), sizeEntry.FindSubmatch(trailer)
	if root == nil || info == nil || size == nil {
		return nil, errors.New("pdf: the trailer lacks root, info or size")
	}
	head := []byte("\n" + string(root[1]) + " 0 obj\n<<")
	at := bytes.LastIndex(pdf, head)
	if at < 0 {
		return nil, errors.New("pdf: no catalog")
	}
	body := pdf[at+len(head):]
	end := bytes.Index(body, []byte("endobj"))
	if end < 0 {
		return nil, errors.New("pdf: the catalog has no end")
	}
	inside := bytes.TrimSuffix(bytes.TrimSpace(body[:end]), []byte(">>"))
	out := bytes.TrimRight(bytes.Clone(pdf), "\r\n")
	copy(out, "%PDF-1.7")
	out = append(out, '\n')
	catalogAt := len(out)
	out = fmt.Appendf(out, "%s 0 obj\n<<\n%s\n/ViewerPreferences << /PrintScaling /None >>\n>>\nendobj\n", root[1], bytes.TrimSpace(inside))
	xrefAt := len(out)
	out = fmt.Appendf(out, "xref\n%s 1\n%010d 00000 n \n", root[1], catalogAt)
	prev, err := strconv.Atoi(string(start[1]))
	if err != nil {
		return nil, fmt.Errorf("pdf: %w", err)
	}
	return fmt.Appendf(out, "trailer\n<<\n/Size %s\n/Root %s 0 R\n/Info %s 0 R\n/Prev %d\n>>\nstartxref\n%d\n%%%%EOF\n", size[1], root[1], info[1], prev, xrefAt), nil
}
