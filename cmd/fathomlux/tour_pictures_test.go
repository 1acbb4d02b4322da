package main

import (
	"bytes"
	"image"
	"image/color"
	"image/png"
	"os"
	"os/exec"
	"path/filepath"
	"testing"

	"github.com/chromedp/chromedp"
)

// The tour's pictures are held to these.
const (
	// tourStep is to what the colours of a kept picture are rounded: 1 of 255 off is not seen, and a sixth of the bytes go.
	tourStep = 2
	// farOff is by how much, of 255, a channel must differ for a pixel to count as another one. Rounding makes 1; the
	// last digits of sums on another processor make 1 at an edge.
	farOff = 24
	// mostOff is the share of other pixels that is borne, about a short word on a page of 1400 x 900: letters and lines
	// are drawn from embedded fonts by the same code, so the same answer gives the same picture.
	mostOff = 0.0005
	// tourBytes bounds all pictures together: the page is read on slow lines, too.
	tourBytes = 3_300_000
)

// inTour returns the path of a file that is kept with the page, such as "pictures/floor.png".
func inTour(name string) string {
	return filepath.Join("..", "..", filepath.Dir(filepath.FromSlash(tourPage)), filepath.FromSlash(name))
}

// lookAtTour holds each picture of the page to what its command has drawn now. A screenshot, which only a browser could
// take again, must be a picture of a fit size.
func lookAtTour(t *testing.T, dir string, pieces []tourPiece) {
	t.Helper()
	shown, bytes := map[string]bool{}, 0
	for _, p := range pieces {
		if p.kind != "picture" {
			continue
		}
		shown[filepath.Base(p.text)] = true
		data, err := os.ReadFile(inTour(p.text))
		if err != nil {
			t.Error(err)
			continue
		}
		bytes += len(data)
		kept := decoded(t, p.text, data)
		if b := kept.Bounds(); b.Dx() < 800 || b.Dx() > 1600 || b.Dy() < 400 || b.Dy() > 1600 {
			t.Errorf("%s is %d x %d pixels, too small or too large to be read", p.text, b.Dx(), b.Dy())
		}
		if now := drawnNow(t, dir, p.source); now != nil {
			if share := otherPixels(kept, now); share > mostOff {
				t.Errorf("%s is not what %s shows now: %.2f %% of the pixels differ; look at it, then run: go test ./cmd/fathomlux -run 'TestTour$' -update",
					p.text, p.source, 100*share)
			}
		}
	}
	files, err := os.ReadDir(inTour("pictures"))
	if err != nil {
		t.Fatal(err)
	}
	for _, f := range files {
		if !shown[f.Name()] {
			t.Errorf("the page does not show pictures/%s", f.Name())
		}
	}
	if bytes > tourBytes {
		t.Errorf("the pictures have %d bytes, want %d at most", bytes, tourBytes)
	}
}

// drawnNow returns the picture that a command of the page wrote, the first page of a PDF where pdftoppm can draw it, or nil
// where there is nothing to compare with.
func drawnNow(t *testing.T, dir, source string) image.Image {
	t.Helper()
	if source == "" {
		return nil
	}
	path := filepath.Join(dir, filepath.FromSlash(source))
	if filepath.Ext(source) == ".pdf" {
		if _, err := exec.LookPath("pdftoppm"); err != nil {
			return nil
		}
		base := filepath.Join(t.TempDir(), "page")
		if out, err := exec.Command("pdftoppm", "-r", "100", "-f", "1", "-singlefile", "-png", path, base).CombinedOutput(); err != nil {
			t.Errorf("pdftoppm: %v: %s", err, out)
			return nil
		}
		path = base + ".png"
	}
	data, err := os.ReadFile(path)
	if err != nil {
		t.Error(err)
		return nil
	}
	return decoded(t, source, data)
}

func decoded(t testing.TB, name string, data []byte) image.Image {
	t.Helper()
	img, err := png.Decode(bytes.NewReader(data))
	if err != nil {
		t.Fatalf("%s: %v", name, err)
	}
	return img
}

// otherPixels returns the share of pixels in which two pictures clearly differ; 1 where their sizes do.
func otherPixels(a, b image.Image) float64 {
	if a.Bounds().Size() != b.Bounds().Size() {
		return 1
	}
	size, from, to, others := a.Bounds().Size(), a.Bounds().Min, b.Bounds().Min, 0
	for y := range size.Y {
		for x := range size.X {
			p := color.NRGBAModel.Convert(a.At(from.X+x, from.Y+y)).(color.NRGBA)
			q := color.NRGBAModel.Convert(b.At(to.X+x, to.Y+y)).(color.NRGBA)
			if apart(p.R, q.R) || apart(p.G, q.G) || apart(p.B, q.B) {
				others++
			}
		}
	}
	return float64(others) / float64(size.X*size.Y)
}

func apart(a, b uint8) bool { return max(a, b)-min(a, b) > farOff }

// drawTour keeps what the commands have drawn, and takes the screenshots where there is a browser.
func drawTour(t *testing.T, dir string, pieces []tourPiece) {
	t.Helper()
	for _, p := range pieces {
		if p.kind == "picture" {
			if now := drawnNow(t, dir, p.source); now != nil {
				keepForTour(t, p.text, now)
			}
		}
	}
	if findBrowser() == "" {
		t.Log("no chromium here: the screenshots stay as they are")
		return
	}
	keepForTour(t, "pictures/live.png", liveScreen(t, dir))
	r := emptyTab(t, startBrowser(t), 1280, 1075)
	r.do(chromedp.Navigate("file://" + filepath.ToSlash(filepath.Join(dir, "out", "foyer-arranged", "report.html"))))
	keepForTour(t, "pictures/report.png", r.screen())
}

// liveScreen opens the page of live as the tour says: called from the top of the project, for the page shows the path.
func liveScreen(t *testing.T, dir string) image.Image {
	t.Helper()
	back, err := os.Getwd()
	if err != nil {
		t.Fatal(err)
	}
	t.Chdir(dir)
	defer t.Chdir(back)
	b := openBrowser(t, serveLive(t, filepath.Join("out", "foyer", "foyer-arranged.yaml")), 1280, 800)
	b.waitFor(`Boolean(document.body.dataset.checked)`) // with price and cautions
	return b.screen()
}

// screen takes a picture of what the window shows.
func (b tab) screen() image.Image {
	b.Helper()
	data, err := chromedp.Run(b.ctx, chromedp.CaptureScreenshot())
	if err != nil {
		b.Fatal(err)
	}
	return decoded(b.TB, "screenshot", data)
}

// keepForTour writes a picture into the page's folder, in as few bytes as serve: colours rounded, tightly packed.
func keepForTour(t *testing.T, name string, img image.Image) {
	t.Helper()
	round := func(v uint8) uint8 { return uint8(min(255, (int(v)+tourStep/2)/tourStep*tourStep)) }
	b := img.Bounds()
	kept := image.NewNRGBA(image.Rect(0, 0, b.Dx(), b.Dy()))
	for y := range b.Dy() {
		for x := range b.Dx() {
			c := color.NRGBAModel.Convert(img.At(b.Min.X+x, b.Min.Y+y)).(color.NRGBA)
			kept.SetNRGBA(x, y, color.NRGBA{R: round(c.R), G: round(c.G), B: round(c.B), A: 255})
		}
	}
	var data bytes.Buffer
	if err := (&png.Encoder{CompressionLevel: png.BestCompression}).Encode(&data, kept); err != nil {
		t.Fatal(err)
	}
	path := inTour(name)
	if err := os.MkdirAll(filepath.Dir(path), 0o777); err != nil {
		t.Fatal(err)
	}
	if err := os.WriteFile(path, data.Bytes(), 0o666); err != nil {
		t.Fatal(err)
	}
}

// TestOtherPixels: what rounding does counts for nothing, a changed corner for its share, another size for all.
func TestOtherPixels(t *testing.T) {
	plain := func(w, h int, grey uint8) *image.NRGBA {
		img := image.NewNRGBA(image.Rect(0, 0, w, h))
		for i := range img.Pix {
			img.Pix[i] = grey
		}
		return img
	}
	a, b := plain(10, 10, 100), plain(10, 10, 102)
	b.SetNRGBA(3, 3, color.NRGBA{R: 100, G: 100, B: 130, A: 255})
	for name, c := range map[string]struct {
		a, b image.Image
		want float64
	}{"rounded": {a, plain(10, 10, 98), 0}, "one of a hundred": {a, b, 0.01}, "other sizes": {a, plain(10, 9, 100), 1}} {
		if got := otherPixels(c.a, c.b); got != c.want {
			t.Errorf("%s: %g, want %g", name, got, c.want)
		}
	}
}
