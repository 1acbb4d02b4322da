package style

import (
	"bytes"
	"cmp"
	"compress/zlib"
	"encoding/binary"
	"fmt"
	"hash/crc32"
	"image"
	"io"
	"math"
	"slices"

	"fathomlux/scene/document"
)

// Meta is what a PNG says about itself. Empty texts are left out.
type Meta struct {
	Title       string
	Software    string  // name and version
	Comment     string  // the command line
	PixelFactor float64 // pixels a point: 0 is 1; points are 1/96 in
}

// What a PNG begins with, the colour type without an alpha channel, and how hard rows are packed, of 1 to 9.
const (
	pngSignature = "\x89PNG\r\n\x1a\n"
	rgb          = 2
	packing      = 3
)

// pointsPerMetre is 96 points an inch, so that a 1400 point page is 370 mm wide.
const pointsPerMetre = 96 / 0.0254 // an inch is 25.4 mm exactly

// encodePNG writes an opaque picture as RGB, with Meta as pHYs and text chunks. The same picture and Meta give the same
// bytes. Rows go into the stream as they are: pictures of even areas become no smaller by differences between pixels,
// and to choose these takes most of the time that image/png needs.
// Source: PNG Specification, third edition, W3C 2025, 11.2 and 11.3.
func encodePNG(w io.Writer, img *image.RGBA, meta Meta) error {
	perMetre := uint32(math.Round(pointsPerMetre * cmp.Or(meta.PixelFactor, 1)))
	physical := binary.BigEndian.AppendUint32(nil, perMetre)
	physical = append(binary.BigEndian.AppendUint32(physical, perMetre), 1) // unit: metre
	size := img.Rect.Size()
	if size.X <= 0 || size.Y <= 0 {
		return fmt.Errorf("png: a picture of %d x %d pixels", size.X, size.Y)
	}
	head := binary.BigEndian.AppendUint32(nil, uint32(size.X))
	head = binary.BigEndian.AppendUint32(head, uint32(size.Y))
	head = append(head, 8, rgb, 0, 0, 0) // bits of a sample; usual compression and filters, rows in their order
	file := slices.Concat([]byte(pngSignature), chunk("IHDR", head), chunk("pHYs", physical))
	for _, e := range [][2]string{{"Title", meta.Title}, {"Software", meta.Software}, {"Comment", meta.Comment}} {
		if e[1] != "" {
			text := e[0] + "\x00\x00\x00\x00\x00" + document.Visible(e[1]) // any text in UTF-8
			file = append(file, chunk("iTXt", []byte(text))...)
		}
	}
	file = append(append(file, chunk("IDAT", packed(img))...), chunk("IEND", nil)...)
	if _, err := w.Write(file); err != nil {
		return fmt.Errorf("png: %w", err)
	}
	return nil
}

// packed returns the compressed rows of a picture, each after a byte that says that it is not filtered.
func packed(img *image.RGBA) []byte {
	var b bytes.Buffer
	z, _ := zlib.NewWriterLevel(&b, packing) // a level that there is; a buffer takes everything
	wide := img.Rect.Dx()
	row := make([]byte, 1+3*wide)
	for y := range img.Rect.Dy() {
		from := img.Pix[y*img.Stride:][:4*wide]
		for x := range wide {
			copy(row[1+3*x:][:3], from[4*x:][:3])
		}
		_, _ = z.Write(row)
	}
	_ = z.Close()
	return b.Bytes()
}

func chunk(kind string, data []byte) []byte {
	out := binary.BigEndian.AppendUint32(nil, uint32(len(data)))
	out = append(append(out, kind...), data...)
	return binary.BigEndian.AppendUint32(out, crc32.ChecksumIEEE(out[4:]))
}
