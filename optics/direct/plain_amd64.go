//go:build !purego

package direct

import "golang.org/x/sys/cpu"

// addPlain512 and addPlain256 are addPlainGo, eight and four cells at once, for one row or more cells. table is the
// lux of the first of scale+1 pairs; of these the last must carry no light.
//
//go:noescape
func addPlain512(lux, ppfd, table *float64, cells int, row *plainRow)

//go:noescape
func addPlain256(lux, ppfd, table *float64, cells int, row *plainRow)

// plainForm is a way to do the innermost sum.
type plainForm int

const (
	plainGo plainForm = iota
	avx2
	avx512
)

// forms are those that this machine can do, the fastest last.
var forms = func() []plainForm {
	list := []plainForm{plainGo}
	if cpu.X86.HasAVX2 {
		list = append(list, avx2)
	}
	if cpu.X86.HasAVX512F && cpu.X86.HasBMI2 {
		list = append(list, avx512)
	}
	return list
}()

// chosen is the form in use. Tests and benchmarks alone change it.
var chosen = forms[len(forms)-1]

// addPlain is the innermost sum in the form that suits this machine.
func addPlain(lux, ppfd []float64, pairs []pair, r *plainRow) {
	if len(lux) == 0 {
		return
	}
	ppfd = ppfd[:len(lux)]
	switch chosen {
	case avx512:
		addPlain512(&lux[0], &ppfd[0], &pairs[0].lux, len(lux), r)
	case avx2:
		addPlain256(&lux[0], &ppfd[0], &pairs[0].lux, len(lux), r)
	default:
		addPlainGo(lux, ppfd, pairs, r)
	}
}
