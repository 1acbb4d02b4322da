package style

import (
	"bytes"
	"cmp"
	"compress/zlib"
	"encoding/binary"
	"errors"
	"fmt"
	"hash/crc32"
	"image"
	"io"
	"math"

	"fathomlux/scene/document"
)

// Meta is what a PNG says about itself. Empty texts are left out.
type Meta struct {
	Title       string
	Software    string  // name and version
	Comment     string  // the command line
	PixelFactor float64 // pixels a point: 0 is 1; points are 1/96 in
}

// pngHead is how a PNG begins, and pngEnd how it ends.
const (
	pngHead = "\x89PNG\r\n\x1a\n"
	pngEnd  = "\x00\x00\x00\x00IEND\xae\x42\x60\x82"
)

// pointsPerMetre is 96 points an inch, so that a 1400 point page is 370 mm wide.
const pointsPerMetre = 96 / 0.0254 // an inch is 25.4 mm exactly

// encodePNG writes an opaque picture quickly rather than small, with Meta as pHYs and text chunks. Pixels are RGB,
// unfiltered: flat colours, letters and lines make the same bytes again and again, which filters would hide from the
// compression. The same picture and Meta give the same bytes.
// Source for the chunks: PNG Specification, third edition, W3C 2025, 11.2 and 11.3.
func encodePNG(w io.Writer, img *image.RGBA, meta Meta) error {
	size := img.Rect.Size()
	if img.Rect.Empty() {
		return errors.New("png: a picture without pixels")
	}
	out := append([]byte(pngHead), chunk("IHDR", binary.BigEndian.AppendUint32(
		binary.BigEndian.AppendUint32(nil, uint32(size.X)), uint32(size.Y)), []byte{8, 2, 0, 0, 0})...) // 8 bits, RGB
	perMetre := uint32(math.Round(pointsPerMetre * cmp.Or(meta.PixelFactor, 1)))
	physical := binary.BigEndian.AppendUint32(nil, perMetre)
	out = append(out, chunk("pHYs", physical, physical, []byte{1})...) // unit: metre
	for _, e := range [][2]string{{"Title", meta.Title}, {"Software", meta.Software}, {"Comment", meta.Comment}} {
		if e[1] != "" {
			text := e[0] + "\x00\x00\x00\x00\x00" + document.Visible(e[1]) // any text in UTF-8
			out = append(out, chunk("iTXt", []byte(text))...)
		}
	}
	pixels, err := deflated(img)
	if err == nil {
		_, err = w.Write(append(append(out, chunk("IDAT", pixels)...), pngEnd...))
	}
	if err != nil {
		return fmt.Errorf("png: %w", err)
	}
	return nil
}

// deflated are the compressed rows of a picture, each behind the number of its filter, which is none.
func deflated(img *image.RGBA) ([]byte, error) {
	var b bytes.Buffer
	z, err := zlib.NewWriterLevel(&b, zlib.BestSpeed)
	if err != nil {
		return nil, err
	}
	row := make([]byte, 1+3*img.Rect.Dx())
	for y := range img.Rect.Dy() {
		from := img.Pix[y*img.Stride:][:4*img.Rect.Dx()]
		for to := row[1:]; len(to) > 0; from, to = from[4:], to[3:] {
			to[0], to[1], to[2] = from[0], from[1], from[2]
		}
		if _, err := z.Write(row); err != nil {
			return nil, err
		}
	}
	err = z.Close()
	return b.Bytes(), err
}

// chunk is one of a PNG: its length, its kind, some data and a checksum.
func chunk(kind string, data ...[]byte) []byte {
	all := bytes.Join(data, nil)
	out := append(binary.BigEndian.AppendUint32(nil, uint32(len(all))), kind...)
	out = append(out, all...)
	return binary.BigEndian.AppendUint32(out, crc32.ChecksumIEEE(out[4:]))
}
