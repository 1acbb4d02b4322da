//go:build !amd64 || purego

package direct

// form is a way to do the innermost sum; here there is one.
type form int

const plainGo form = 0

var (
	forms  = []form{plainGo}
	chosen = plainGo
)

// addPlain is the innermost sum.
func addPlain(lux, ppfd []float64, pairs []pair, r *plainRow) { addPlainGo(lux, ppfd, pairs, r) }
