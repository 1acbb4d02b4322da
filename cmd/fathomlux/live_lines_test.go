package main

import (
	"math"

	"github.com/chromedp/chromedp"
)

// drawnLines is what the page draws of a field of 10 px a cell. Low tells whether corners of open lines lie in the quadrants
// where x and y have unlike signs.
type drawnLines struct {
	Rings, Open int
	LengthPx    float64
	Low         bool
}

// linesExpression finds the level 1 in fields that are made for it: a cell that stands out is a bead, a hill is a ring, a
// slope is a line from edge to edge, two high quadrants are joined or apart as the middle of their saddle says.
const linesExpression = `(async () => {
	const base = location.href.replace(/[^/]*$/, "");
	const { Field } = await import(base + "page/lines.js");
	const n = 21, place = (i) => Math.min(Math.max(10 * i + 5, 0), 10 * n);
	const corner = ({ points }) => { const k = points.length >> 1, [a, b] = [points[k - 1], points[k]]; return (a[0] + b[0] - 200) * (a[1] + b[1] - 200); };
	const of = (f) => {
		const values = new Float32Array(n * n);
		for (let j = 0; j < n; j++) for (let i = 0; i < n; i++) values[j * n + i] = f(i - 10, j - 10);
		const field = new Field({ values, nx: n, ny: n }, place, place);
		field.lines(0.5); // a level sought before leaves nothing behind
		const lines = field.lines(1);
		let length = 0;
		for (const { points } of lines) for (let k = 1; k < points.length; k++) length += Math.hypot(points[k][0] - points[k - 1][0], points[k][1] - points[k - 1][1]);
		const rings = lines.filter((l) => l.ring).length;
		return { Rings: rings, Open: lines.length - rings, LengthPx: length, Low: lines.some((l) => !l.ring && corner(l) < -1) };
	};
	return {
		bead: of((x, y) => (x === 0 && y === 0 ? 2 : 0)),
		hill: of((x, y) => 6 - Math.hypot(x, y)),
		slope: of((x, y) => 1.3 + x / 2),
		bridge: of((x, y) => ((x < 0) === (y < 0) ? 1.9 : 0.3)),
		gap: of((x, y) => ((x < 0) === (y < 0) ? 1.6 : 0.1)),
		level: of(() => 1),
	};
})()`

// linesAreJoined looks at the lines that the page's own code draws.
func (b tab) linesAreJoined() {
	b.Helper()
	got, err := chromedp.Run(b.ctx, chromedp.Evaluate[map[string]drawnLines](linesExpression, chromedp.EvalAwaitPromise))
	if err != nil {
		b.Fatal(err)
	}
	for name, want := range map[string]drawnLines{
		"bead":   {},
		"hill":   {Rings: 1, LengthPx: 2 * math.Pi * 50},
		"slope":  {Open: 1, LengthPx: 210},
		"bridge": {Open: 2, Low: true},
		"gap":    {Open: 2},
		"level":  {},
	} {
		is := got[name]
		if is.Rings != want.Rings || is.Open != want.Open || is.Low != want.Low || want.LengthPx > 0 && math.Abs(is.LengthPx/want.LengthPx-1) > 0.02 { // chords of a circle and linear steps between cells
			b.Errorf("%s: %+v, want %+v", name, is, want)
		}
	}
}
