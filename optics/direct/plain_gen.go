//go:build ignore

// This program writes plain_amd64.s, the innermost sum for processors with AVX2 and with AVX-512. Both forms do for each cell
// what addPlainGo does, in its order and without fused multiply-adds, so that all three give the same bits.
//
// There is no gather in it: a pair of the table is one load of 32 bytes, and four or eight of them are turned on their
// side in registers. Where they stand goes through memory, as that is the short way from vectors to addresses; it is worked
// out some cells ahead, so that no load waits for the store before it.
package main

import (
	"math"
	"math/bits"

	. "github.com/mmcloughlin/avo/build"
	"github.com/mmcloughlin/avo/buildtags"
	. "github.com/mmcloughlin/avo/operand"
	"github.com/mmcloughlin/avo/reg"
)

// pairShift turns a place in the table into bytes: a pair is four float64.
const pairShift = 5

// A ring of slots on the stack holds what was worked out ahead: the places of cells in the table, and after placesBytes the ways
// from there to the next. Their number is a power of two; more than four are no faster, and two are slower.
const (
	slots       = 4
	placesBytes = 64
	slotBytes   = 128
)

// truncate is the rounding of VROUNDPD and VRNDSCALEPD that int() does.
const truncate = 0x0b

// form is what the two forms do in different ways.
type form struct {
	cells  int
	vector func(i int) reg.VecPhysical
	place  func(w, whole reg.VecPhysical, places Mem) // the whole part of w, also in bytes to places
	turn   func(at []Mem)                             // pairs to registers lux to ppfd+1: lux, its rise, PPFD, its rise
	rest   func(cells reg.GPVirtual) (add func(to Mem, v reg.VecPhysical))
}

// Registers are given by hand. The first are those of a plainRow, in the order of its fields, whose skip counts on as the number
// of the next cells; then the number of cells at once, the ways from their pairs to the next pairs, what they get of lx and
// of PPFD, each with room for a rise. The next are free.
const (
	first = iota
	next
	step
	fixed2
	lumens
	apparent
	scale
	width
	way
	lux
	_
	ppfd
)

func main() {
	Constraint(buildtags.Not("purego"))
	lanes := GLOBL("lanes", RODATA|NOPTR)
	for i := range 8 {
		DATA(8*i, U64(math.Float64bits(float64(i))))
	}
	widths := GLOBL("widths", RODATA|NOPTR)
	DATA(0, U64(math.Float64bits(8)))
	DATA(8, U64(math.Float64bits(4)))
	counts := GLOBL("counts", RODATA|NOPTR)
	for i := range 4 {
		DATA(8*i, U64(i))
	}
	kernel("addPlain512", lanes, widths, eight())
	kernel("addPlain256", lanes, widths.Offset(8), four(counts))
	Generate()
}

// pass is one form that is being written: its arguments, and the ring of slots with the one at hand.
type pass struct {
	form
	name          string
	toLux, toPPFD Mem
	table         reg.Register
	cells         reg.GPVirtual
	at            Mem
	slot, left    reg.GPVirtual // left counts the slots that are still to be worked out
}

// kernel writes one form.
func kernel(name string, lanes, wide Mem, f form) {
	TEXT(name, NOSPLIT, "func(lux, ppfd, table *float64, cells int, row *float64)")
	toLux, toPPFD := Mem{Base: Load(Param("lux"), GP64())}, Mem{Base: Load(Param("ppfd"), GP64())}
	table, cells := Load(Param("table"), GP64()), Load(Param("cells"), GP64()).(reg.GPVirtual)
	from := Mem{Base: Load(Param("row"), GP64())}

	ring, slot, left := GP64(), GP64(), GP64()
	LEAQ(AllocLocal(slots*slotBytes+64), ring)
	ADDQ(I8(63), ring)
	ANDQ(I8(-64), ring) // so that no store or load of a slot lies across two lines of the cache
	at := Mem{Base: ring, Index: slot, Scale: 1}
	for i := first; i <= scale; i++ {
		VBROADCASTSD(from.Offset(8*i), f.vector(i))
	}
	VBROADCASTSD(wide, f.vector(width))
	VADDPD(lanes, f.vector(next), f.vector(next))

	p := pass{form: f, name: name, toLux: toLux, toPPFD: toPPFD, table: table, cells: cells, at: at, slot: slot, left: left}
	p.begin()
	p.loop()
	Label(name + "Rest")
	add := f.rest(cells)
	add(toLux, f.vector(lux))
	add(toPPFD, f.vector(ppfd))
	VZEROUPPER()
	RET()
}

// begin fills the slots with the first places; left counts those that the loop works out then, one slot a turn.
func (p pass) begin() {
	f, name, cells, slot, left := p.form, p.name, p.cells, p.slot, p.left
	LEAQ(Mem{Base: cells, Disp: f.cells - 1}, left)
	SHRQ(U8(bits.Len(uint(f.cells))-1), left)
	XORQ(slot, slot)
	Label(name + "Begin")
	place(f, p.at)
	ADDQ(I32(slotBytes), slot)
	DECQ(left)
	JE(LabelRef(name + "Begun"))
	CMPQ(slot, I32(slots*slotBytes))
	JLT(LabelRef(name + "Begin"))
	Label(name + "Begun")
	XORQ(slot, slot)
}

// loop adds the light of all cells but the last few.
func (p pass) loop() {
	f, name, cells, table, at, slot, left := p.form, p.name, p.cells, p.table, p.at, p.slot, p.left
	Label(name + "Cells")
	pairs := pairsAt(table, at, f.cells)
	VMOVUPD(at.Offset(placesBytes), f.vector(way))
	TESTQ(left, left)
	JE(LabelRef(name + "Placed"))
	DECQ(left)
	place(f, at)
	Label(name + "Placed")
	ADDQ(I32(slotBytes), slot)
	ANDQ(I32(slots*slotBytes-1), slot)
	light(f, pairs)
	CMPQ(cells, I8(f.cells))
	JLT(LabelRef(name + "Rest"))
	for i, to := range []Mem{p.toLux, p.toPPFD} {
		x := f.vector(lux + 2*i)
		VADDPD(to, x, x)
		VMOVUPD(x, to)
		ADDQ(I8(8*f.cells), to.Base)
	}
	SUBQ(I8(f.cells), cells)
	JNE(LabelRef(name + "Cells"))
	VZEROUPPER()
	RET()
}

// place fills a slot for the next cells.
func place(f form, slot Mem) {
	v := f.vector
	u, w := v(13), v(14)
	VMULPD(v(step), v(next), u)
	VADDPD(v(first), u, u)
	VADDPD(v(width), v(next), v(next))
	VMULPD(u, u, u)
	VADDPD(v(fixed2), u, u)
	VADDPD(v(apparent), u, w)
	VDIVPD(w, u, w)
	VMULPD(v(scale), w, w)
	VMINPD(v(scale), w, w) // a NaN becomes the last place, where there is no light
	f.place(w, u, slot)
	VSUBPD(u, w, u)
	VMOVUPD(u, slot.Offset(placesBytes))
}

// light computes what the cells at some pairs get of lx and of PPFD.
func light(f form, at []Mem) {
	v := f.vector
	f.turn(at)
	for _, x := range []int{lux, ppfd} {
		VMULPD(v(way), v(x+1), v(x+1))
		VADDPD(v(x+1), v(x), v(x))
		VMULPD(v(lumens), v(x), v(x))
	}
}

// pairsAt takes n places from a slot.
func pairsAt(table reg.Register, slot Mem, n int) (list []Mem) {
	for i := range n {
		at := GP64()
		MOVL(slot.Offset(4*i), at.As32())
		list = append(list, Mem{Base: table, Index: at, Scale: 1})
	}
	return list
}

var (
	zmm = []reg.VecPhysical{reg.Z0, reg.Z1, reg.Z2, reg.Z3, reg.Z4, reg.Z5, reg.Z6, reg.Z7, reg.Z8, reg.Z9, reg.Z10, reg.Z11, reg.Z12, reg.Z13, reg.Z14, reg.Z15, reg.Z16}
	ymm = []reg.VecPhysical{reg.Y0, reg.Y1, reg.Y2, reg.Y3, reg.Y4, reg.Y5, reg.Y6, reg.Y7, reg.Y8, reg.Y9, reg.Y10, reg.Y11, reg.Y12, reg.Y13, reg.Y14, reg.Y15}
)

// eight is the form for AVX-512: eight cells at once.
func eight() form {
	v := func(i int) reg.VecPhysical { return zmm[i] }
	return form{cells: 8, vector: v,
		place: func(w, whole reg.VecPhysical, places Mem) {
			VCVTTPD2DQ(w, ymm[13])
			VPSLLD(U8(pairShift), ymm[13], ymm[13])
			VMOVDQU(ymm[13], places)
			VRNDSCALEPD(U8(truncate), w, whole)
		},
		turn: func(at []Mem) {
			for i, cell := range []int{0, 1, 4, 5} {
				VMOVUPD(at[cell], ymm[10+i])
				VINSERTF64X4(U8(1), at[cell+2], v(10+i), v(10+i))
			}
			VUNPCKLPD(v(11), v(10), v(14))
			VUNPCKHPD(v(11), v(10), v(16))
			VUNPCKLPD(v(13), v(12), v(11))
			VUNPCKHPD(v(13), v(12), v(12))
			VSHUFF64X2(U8(0x88), v(11), v(14), v(9))
			VSHUFF64X2(U8(0x88), v(12), v(16), v(10))
			VSHUFF64X2(U8(0xdd), v(11), v(14), v(11))
			VSHUFF64X2(U8(0xdd), v(12), v(16), v(12))
		},
		rest: func(cells reg.GPVirtual) func(Mem, reg.VecPhysical) {
			all, mask := GP64(), K()
			MOVQ(U32(0xff), all)
			BZHIQ(cells, all, all)
			KMOVW(all.As32(), mask)
			return func(to Mem, x reg.VecPhysical) {
				VMOVUPD_Z(to, mask, v(13))
				VADDPD(v(13), x, x)
				VMOVUPD(x, mask, to)
			}
		},
	}
}

// four is the form for AVX2: four cells at once.
func four(counts Mem) form {
	v := func(i int) reg.VecPhysical { return ymm[i] }
	return form{cells: 4, vector: v,
		place: func(w, whole reg.VecPhysical, places Mem) {
			VCVTTPD2DQY(w, whole.AsX())
			VPSLLD(U8(pairShift), whole.AsX(), whole.AsX())
			VMOVDQU(whole.AsX(), places)
			VROUNDPD(U8(truncate), w, whole)
		},
		turn: func(at []Mem) {
			for i := range 2 {
				VMOVUPD(at[i], v(10+i).AsX())
				VINSERTF128(U8(1), at[i+2], v(10+i), v(10+i))
				VMOVUPD(at[i].Offset(16), v(12+i).AsX())
				VINSERTF128(U8(1), at[i+2].Offset(16), v(12+i), v(12+i))
			}
			VUNPCKLPD(v(11), v(10), v(9))
			VUNPCKHPD(v(11), v(10), v(10))
			VUNPCKLPD(v(13), v(12), v(11))
			VUNPCKHPD(v(13), v(12), v(12))
		},
		rest: func(cells reg.GPVirtual) func(Mem, reg.VecPhysical) {
			mask := v(14)
			VMOVQ(cells, mask.AsX())
			VPBROADCASTQ(mask.AsX(), mask)
			VPCMPGTQ(counts, mask, mask)
			return func(to Mem, x reg.VecPhysical) {
				VMASKMOVPD(to, mask, v(13))
				VADDPD(v(13), x, x)
				VMASKMOVPD(x, mask, to)
			}
		},
	}
}
