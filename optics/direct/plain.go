package direct

// plainRow places cells under one source: signed distance of the row's first cell along the row, cells skipped,
// distance from each cell to the next, the square of the row's distance, and the source's lumens; then the track's
// apparent and scale. The assembler reads the fields in this order.
type plainRow struct{ first, skip, step, fixed2, lumens, apparent, scale float64 }

// row returns r over the track.
func (t *track) row(r plainRow) *plainRow {
	r.apparent, r.scale = t.apparent, t.scale
	return &r
}

// addPlainGo is the innermost sum, one source, one run of cells, nothing between them, as any machine can do it. The
// other forms of addPlain do the same steps in the same order, so that all give the same bits.
func addPlainGo(lux, ppfd []float64, pairs []pair, r *plainRow) {
	ppfd = ppfd[:len(lux)]
	first, step, fixed2, lumens, apparent, scale := r.first, r.step, r.fixed2, r.lumens, r.apparent, r.scale
	k := r.skip
	for i := range lux {
		d := first + float64(k*step)
		k++
		u := float64(d*d) + fixed2
		w := u / (u + apparent) * scale
		if !(w < scale) { // the last place, where there is no light; a NaN too, which processors turn into unlike integers
			continue
		}
		at := int(w)
		if uint(at) >= uint(len(pairs)) {
			continue
		}
		p := &pairs[at]
		f := w - float64(at)
		lux[i] += float64(lumens * (p.lux + float64(f*p.luxRise)))
		ppfd[i] += float64(lumens * (p.ppfd + float64(f*p.ppfdRise)))
	}
}
