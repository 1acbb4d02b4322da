package result

// Solid marks the cells of a grid whose middle lies inside an obstacle, by their index: no light is asked for there,
// and no statistic counts them. It is nil where there are none.
type Solid []bool

// Open returns those of the values that stand in the other cells, in order: values itself where none are marked.
func (s Solid) Open(values []float64) []float64 {
	if s == nil {
		return values
	}
	open := make([]float64, 0, len(values))
	for i, v := range values {
		if !s[i] {
			open = append(open, v)
		}
	}
	return open
}

// Share returns the marked share of the cells, 0 to 1.
func (s Solid) Share() float64 {
	if len(s) == 0 {
		return 0
	}
	n := 0
	for _, solid := range s {
		if solid {
			n++
		}
	}
	return float64(n) / float64(len(s))
}
