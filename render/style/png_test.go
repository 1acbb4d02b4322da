package style

import (
	"bytes"
	"encoding/binary"
	"errors"
	"fmt"
	"hash/crc32"
	"image"
	"image/color"
	"image/png"
	"io"
	"testing"
)

func testPicture() *image.RGBA {
	img := image.NewRGBA(image.Rect(0, 0, 60, 40))
	for i := range img.Pix {
		img.Pix[i] = byte(i * 7)
		if i%4 == 3 {
			img.Pix[i] = 255
		}
	}
	return img
}

func TestPNGKeepsPixelsAndTexts(t *testing.T) {
	meta := Meta{Title: "Foyer \u00b5 \u00fc", Software: "fathomlux 1.0", Comment: "fathomlux map \u0394.yaml\x00", PixelFactor: 2}
	var b bytes.Buffer
	img := testPicture()
	if err := encodePNG(&b, img, meta); err != nil {
		t.Fatal(err)
	}
	back, err := png.Decode(bytes.NewReader(b.Bytes()))
	if err != nil {
		t.Fatal(err)
	}
	for y := range 40 {
		for x := range 60 {
			if got := color.RGBAModel.Convert(back.At(x, y)); got != img.RGBAAt(x, y) {
				t.Fatalf("pixel (%d, %d) is %v; want %v", x, y, got, img.RGBAAt(x, y))
			}
		}
	}
	texts, err := pngTexts(b.Bytes())
	if err != nil {
		t.Fatal(err)
	}
	for key, want := range map[string]string{"Title": "Foyer \u00b5 \u00fc", "Software": "fathomlux 1.0", "Comment": `fathomlux map Δ.yaml\u0000`} {
		if texts[key] != want {
			t.Errorf("%s is %q; want %q", key, texts[key], want)
		}
	}
	if kind := b.Bytes()[8+8+9]; kind != 2 {
		t.Errorf("colour type %d; an opaque picture is 2, RGB without alpha", kind)
	}
}

func TestPNGTellsItsSize(t *testing.T) {
	for factor, want := range map[float64]uint32{0: 3780, 1: 3780, 2: 7559} { // 96 points an inch
		var b bytes.Buffer
		if err := encodePNG(&b, testPicture(), Meta{PixelFactor: factor}); err != nil {
			t.Fatal(err)
		}
		at := bytes.Index(b.Bytes(), []byte("pHYs"))
		if at != 8+4+4+13+4+4 { // behind the signature, IHDR and its own length
			t.Fatalf("pHYs stands at %d; want right after IHDR", at)
		}
		if got := binary.BigEndian.Uint32(b.Bytes()[at+4:]); got != want || b.Bytes()[at+12] != 1 {
			t.Errorf("factor %g: %d pixels a metre; want %d", factor, got, want)
		}
	}
}

func TestPNGIsTheSameEachTime(t *testing.T) {
	var a, b bytes.Buffer
	for _, w := range []*bytes.Buffer{&a, &b} {
		if err := encodePNG(w, testPicture(), Meta{Title: "x"}); err != nil {
			t.Fatal(err)
		}
	}
	if !bytes.Equal(a.Bytes(), b.Bytes()) {
		t.Error("two encodings differ")
	}
}

type brokenWriter struct{}

var errBroken = errors.New("disk is full")

func (brokenWriter) Write([]byte) (int, error) { return 0, errBroken }

func TestPNGReportsFailures(t *testing.T) {
	if err := encodePNG(brokenWriter{}, testPicture(), Meta{}); !errors.Is(err, errBroken) {
		t.Errorf("error is %v", err)
	}
	if err := encodePNG(io.Discard, image.NewRGBA(image.Rect(0, 0, 0, 0)), Meta{}); err == nil {
		t.Error("an empty picture is taken")
	}
	var b bytes.Buffer
	if err := encodePNG(&b, testPicture(), Meta{Title: "title"}); err != nil {
		t.Fatal(err)
	}
	spoiled := append([]byte(nil), b.Bytes()...)
	spoiled[bytes.Index(spoiled, []byte("title"))] = 'T'
	for _, data := range [][]byte{nil, []byte("no picture at all, but long enough to be one"), spoiled, b.Bytes()[:60]} {
		if texts, err := pngTexts(data); err == nil && len(texts) > 0 {
			t.Errorf("spoiled data gives %v", texts)
		}
	}
}

// pngTexts returns the texts of a PNG by their keys.
func pngTexts(data []byte) (map[string]string, error) {
	if !bytes.HasPrefix(data, []byte(pngHead)) {
		return nil, fmt.Errorf("this is no png file")
	}
	texts := map[string]string{}
	for rest := data[8:]; len(rest) >= 12; {
		n := int(binary.BigEndian.Uint32(rest))
		if n < 0 || n > len(rest)-12 {
			return nil, fmt.Errorf("png chunk %q is cut short", rest[4:8])
		}
		body := rest[8 : 8+n]
		if binary.BigEndian.Uint32(rest[8+n:]) != crc32.ChecksumIEEE(rest[4:8+n]) {
			return nil, fmt.Errorf("png chunk %q has a wrong checksum", rest[4:8])
		}
		key, value, ok := bytes.Cut(body, []byte{0})
		switch kind := string(rest[4:8]); {
		case ok && kind == "iTXt" && len(value) >= 4:
			texts[string(key)] = string(value[4:])
		}
		rest = rest[12+n:]
	}
	return texts, nil
}
