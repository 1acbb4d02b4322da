package parallel

// Share is one part of work that is divided among machines: number Part, from 1, of Of parts. The zero Share is all
// of the work.
type Share struct{ Part, Of int }

// Range returns which of n pieces belong to the share: from one up to, but without, another. Each piece belongs to one
// part; where there are more parts than pieces, some parts have none.
func (s Share) Range(n int64) (from, to int64) {
	if s.Of == 0 {
		return 0, n
	}
	part, of := int64(s.Part), int64(s.Of)
	whole, more := n/of, n%of // n times part might not fit
	return whole*(part-1) + more*(part-1)/of, whole*part + more*part/of
}
