package style

import (
	"bytes"
	"encoding/binary"
	"fmt"
	"hash/crc32"
	"image"
	"image/png"
	"io"
	"math"
	"strings"
	"sync"
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

// EncodePNG writes the picture quickly rather than small, with Meta as pHYs and text chunks. An opaque picture is
// stored as RGB, without an alpha channel. The same picture and Meta give the same bytes.
// Source for the chunks: PNG Specification, third edition, W3C 2025, 11.3.
func EncodePNG(w io.Writer, img image.Image, meta Meta) error {
	var b bytes.Buffer
	encoder := png.Encoder{CompressionLevel: png.BestSpeed, BufferPool: encoderBuffers}
	if err := encoder.Encode(&b, img); err != nil {
		return fmt.Errorf("png: %w", err)
	}
	for _, part := range [][]byte{b.Bytes()[:pngHead], meta.chunks(), b.Bytes()[pngHead:]} {
		if _, err := w.Write(part); err != nil {
			return fmt.Errorf("png: %w", err)
		}
	}
	return nil
}

// bufferPool lets encodings share their buffers.
type bufferPool struct{ pool sync.Pool }

// Get returns a buffer that was put back, or nil.
func (p *bufferPool) Get() *png.EncoderBuffer {
	b, _ := p.pool.Get().(*png.EncoderBuffer)
	return b
}

// Put takes a buffer back.
func (p *bufferPool) Put(b *png.EncoderBuffer) { p.pool.Put(b) }

var encoderBuffers = new(bufferPool)

func (m Meta) chunks() []byte {
	factor := m.PixelFactor
	if !(factor > 0) {
		factor = 1
	}
	perMetre := uint32(math.Round(pointsPerMetre * math.Min(factor, 100)))
	physical := binary.BigEndian.AppendUint32(nil, perMetre)
	physical = append(binary.BigEndian.AppendUint32(physical, perMetre), 1) // unit: metre
	out := chunk("pHYs", physical)
	for _, e := range [][2]string{{"Title", m.Title}, {"Software", m.Software}, {"Comment", m.Comment}} {
		if e[1] != "" {
			out = append(out, textChunk(e[0], e[1])...)
		}
	}
	return out
}

// textChunk returns a tEXt chunk where Latin-1 holds the text, otherwise an iTXt chunk in UTF-8.
func textChunk(key, text string) []byte {
	text = strings.Map(func(r rune) rune {
		if r < ' ' && r != '\n' || r >= 0x7f && r < 0xa0 {
			return ' '
		}
		return r
	}, strings.ToValidUTF8(text, "\ufffd"))
	latin := make([]byte, 0, len(text))
	for _, r := range text {
		if r > 0xff {
			return chunk("iTXt", []byte(key+"\x00\x00\x00\x00\x00"+text))
		}
		latin = append(latin, byte(r))
	}
	return chunk("tEXt", append([]byte(key+"\x00"), latin...))
}

func chunk(kind string, data []byte) []byte {
	out := binary.BigEndian.AppendUint32(nil, uint32(len(data)))
	out = append(append(out, kind...), data...)
	return binary.BigEndian.AppendUint32(out, crc32.ChecksumIEEE(out[4:]))
}
