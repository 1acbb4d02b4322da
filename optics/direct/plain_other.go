//go:build !amd64 || purego

package direct

// plainForm is a way to do the innermost sum; here there is one.
type plainForm int

const plainGo plainForm = 0

var (
	forms  = []plainForm{plainGo}
	chosen = plainGo
)

// addPlain is the innermost sum.
func addPlain(lux, ppfd []float64, pairs []pair, r *plainRow) { addPlainGo(lux, ppfd, pairs, r) }
