package style

import (
	"bytes"
	"cmp"
	"encoding/binary"
	"fmt"
	"hash/crc32"
	"image"
	"image/png"
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

// pngHead is the length of a PNG's signature and its IHDR chunk, after which other chunks may stand.
const pngHead = 8 + 4 + 4 + 13 + 4

// pointsPerMetre is 96 points an inch, so that a 1400 point page is 370 mm wide.
const pointsPerMetre = 96 / 0.0254 // an inch is 25.4 mm exactly

// encodePNG writes the picture quickly rather than small, with Meta as pHYs and text chunks. An opaque picture is
// stored as RGB, without an alpha channel. The same picture and Meta give the same bytes.
// Source for the chunks: PNG Specification, third edition, W3C 2025, 11.3.
func encodePNG(w io.Writer, img image.Image, meta Meta) error {
	perMetre := uint32(math.Round(pointsPerMetre * cmp.Or(meta.PixelFactor, 1)))
	physical := binary.BigEndian.AppendUint32(nil, perMetre)
	physical = append(binary.BigEndian.AppendUint32(physical, perMetre), 1) // unit: metre
	chunks := chunk("pHYs", physical)
	for _, e := range [][2]string{{"Title", meta.Title}, {"Software", meta.Software}, {"Comment", meta.Comment}} {
		if e[1] != "" {
			text := e[0] + "\x00\x00\x00\x00\x00" + document.Visible(e[1]) // any text in UTF-8
			chunks = append(chunks, chunk("iTXt", []byte(text))...)
		}
	}
	var b bytes.Buffer
	err := (&png.Encoder{CompressionLevel: png.BestSpeed}).Encode(&b, img)
	if err == nil {
		_, err = w.Write(slices.Insert(b.Bytes(), pngHead, chunks...))
	}
	if err != nil {
		return fmt.Errorf("png: %w", err)
	}
	return nil
}

func chunk(kind string, data []byte) []byte {
	out := binary.BigEndian.AppendUint32(nil, uint32(len(data)))
	out = append(append(out, kind...), data...)
	return binary.BigEndian.AppendUint32(out, crc32.ChecksumIEEE(out[4:]))
}
