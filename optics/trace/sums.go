package trace

import (
	"context"
	"encoding/binary"
	"errors"
	"iter"
	"math"
	"math/bits"

	"fathomlux/optics/model"
	"fathomlux/optics/parallel"
)

// exact is a sum that does not depend on the order of what is added up: a whole number of 2^-64, in two's complement.
// Of a history, and of the square of a batch's lumens, what is less is nothing; up to 2^63 there is room for all.
type exact struct{ hi, lo uint64 }

// add adds a number, cut to a multiple of 2^-64.
func (e *exact) add(v float64) {
	whole, part := math.Modf(math.Abs(v))
	o := exact{uint64(whole), uint64(part * 0x1p64)}
	if v < 0 {
		o = exact{^o.hi, ^o.lo}
		o.plus(exact{lo: 1})
	}
	e.plus(o)
}

func (e *exact) plus(o exact) {
	var carry uint64
	e.lo, carry = bits.Add64(e.lo, o.lo, 0)
	e.hi, _ = bits.Add64(e.hi, o.hi, carry)
}

func (e exact) value() float64 { return float64(int64(e.hi)) + float64(e.lo)*0x1p-64 }

// exactLight is a sum of light.
type exactLight struct{ lux, ppfd exact }

func (e *exactLight) add(l light) {
	e.lux.add(l.lux)
	e.ppfd.add(l.ppfd)
}

func (e exactLight) value() light { return light{e.lux.value(), e.ppfd.value()} }

// Sums are what the histories of some batches have counted: sums without rounding, so that those of all shares of a
// tracing give the same light however it was divided. Each is 16 bytes, the low ones first.
type Sums struct {
	Batches int64
	Balance []byte   // of lumens and photons, an entry after the other
	Planes  [][]byte // of each: by cell, its light by modules, its squares, and the square of the whole
}

// RunShare traces one share of the batches of Run with the same options, and returns its sums. Where the context ends
// first it returns the context's error alone. How far the whole goes must be known, so that Error is refused.
func RunShare(ctx context.Context, m *model.Model, o Options, share parallel.Share) (*Sums, error) {
	if o.Error > 0 {
		return nil, errors.New("a share of a tracing needs a number of photons: an error is known of the whole alone")
	}
	r, err := prepare(m, o)
	if err != nil {
		return nil, err
	}
	if len(r.world.lamps) > 0 {
		r.first, r.most = share.Range(r.most)
		r.most -= r.first
		r.workAll(ctx)
	}
	if err := ctx.Err(); err != nil && !r.finished {
		return nil, err
	}
	s := &Sums{Batches: int64(r.batches)}
	for i := range r.balance {
		s.Balance = r.balance[i].ppfd.append(r.balance[i].lux.append(s.Balance))
	}
	for i := range r.sheets {
		var data []byte
		r.sheets[i].each(func(e *exact) { data = e.append(data) })
		s.Planes = append(s.Planes, data)
	}
	return s, nil
}

// join adds the sums of all shares in place of tracing.
func (r *run) join(shares iter.Seq2[*Sums, error]) error {
	for s, err := range shares {
		if err != nil {
			return err
		}
		if !r.plus(s) {
			return errors.New("the sums of a share are not those of such a tracing")
		}
	}
	if int64(r.batches) != r.most && len(r.world.lamps) > 0 {
		return errors.New("the shares do not make the whole of the tracing")
	}
	return nil
}

// plus adds sums; it is false where they are not those of the run's planes.
func (r *run) plus(s *Sums) bool {
	if len(s.Planes) != len(r.sheets) || s.Batches < 0 || s.Batches > r.most-int64(r.batches) {
		return false
	}
	r.batches += int(s.Batches)
	balance := reading{data: s.Balance}
	for i := range r.balance {
		balance.next(&r.balance[i].lux)
		balance.next(&r.balance[i].ppfd)
	}
	fits := balance.whole()
	for i := range r.sheets {
		plane := reading{data: s.Planes[i]}
		r.sheets[i].each(plane.next)
		fits = fits && plane.whole()
	}
	return fits
}

const exactBytes = 16

func (e *exact) append(to []byte) []byte {
	return binary.LittleEndian.AppendUint64(binary.LittleEndian.AppendUint64(to, e.lo), e.hi)
}

// reading adds sums from bytes to others, one after another.
type reading struct {
	data []byte
	lack bool
}

func (d *reading) next(e *exact) {
	if d.lack = d.lack || len(d.data) < exactBytes; d.lack {
		return
	}
	e.plus(exact{lo: binary.LittleEndian.Uint64(d.data), hi: binary.LittleEndian.Uint64(d.data[8:])})
	d.data = d.data[exactBytes:]
}

func (d *reading) whole() bool { return !d.lack && len(d.data) == 0 }
