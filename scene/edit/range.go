package edit

import (
	"fmt"
	"math"
	"strconv"
	"strings"

	"fathomlux/scene/unit"
)

// MaxRangeValues is the highest number of values that one range may have.
const MaxRangeValues = 100_000

// Range is one variable with the values that it is to take, in SI units, on one rail or on all (Rail empty).
type Range struct {
	Rail     string
	Variable Variable
	Values   []float64
}

// Name is the variable's name for people, with the rail's before it where there is one.
func (r Range) Name() string { return strings.TrimPrefix(r.Rail+"."+r.Variable.Name, ".") }

// ParseRange reads "spacing=120mm:260mm:20mm" (from, to, step; both ends included), "beam=25deg,40deg,60deg" (a list)
// or "count=6"; a rail's name and a dot before the variable mean that rail alone. Errors say what would serve.
func ParseRange(text string) (Range, error) {
	name, values, ok := strings.Cut(text, "=")
	if !ok {
		return Range{}, fmt.Errorf("%.60q has no equals sign; write spacing=120mm:260mm:20mm", text)
	}
	var r Range
	var err error
	name = strings.TrimSpace(name)
	if dot := strings.LastIndex(name, "."); dot >= 0 {
		r.Rail, name = name[:dot], name[dot+1:]
	}
	if r.Variable, err = VariableNamed(name); err != nil {
		return Range{}, err
	}
	if strings.Contains(values, ":") {
		r.Values, err = r.Variable.fromTo(values)
	} else {
		r.Values, err = r.Variable.list(values)
	}
	if err != nil {
		return Range{}, fmt.Errorf("%s: %w", name, err)
	}
	return r, nil
}

// fromTo reads "from:to:step".
func (v Variable) fromTo(text string) ([]float64, error) {
	words := strings.Split(text, ":")
	if len(words) != 3 {
		return nil, fmt.Errorf("%.60q is not a range; write from:to:step, such as %s", text, v.example)
	}
	ends, err := v.list(strings.Join(words, ","))
	if err != nil {
		return nil, err
	}
	from, to, step := ends[0], ends[1], ends[2]
	low, high := v.Span()
	n := math.Floor((to-from)/step+1e-9) + 1
	switch {
	case step <= 0:
		return nil, fmt.Errorf("the step %s is not above 0", words[2])
	case to < from:
		return nil, fmt.Errorf("the range is empty: %s is below %s", words[1], words[0])
	case n > MaxRangeValues && (from < low || to > high):
		return nil, fmt.Errorf("the range from %.40s to %.40s is wider than %s to %s, where values must lie",
			words[0], words[1], v.Say(low), v.Say(high))
	case n > MaxRangeValues:
		return nil, fmt.Errorf("the range has %s values, more than the limit of %s; use a larger step than %.40s",
			unit.Count(n), unit.Count(MaxRangeValues), words[2])
	}
	values := make([]float64, int(n))
	for i := range values {
		values[i] = from + float64(i)*step
	}
	return values, nil
}

// list reads values with commas between them.
func (v Variable) list(text string) (values []float64, err error) {
	for word := range strings.SplitSeq(text, ",") {
		word = strings.TrimSpace(word)
		value := 0.0
		low, high := v.Span()
		switch n, errWhole := strconv.Atoi(word); {
		case word == "":
			return nil, fmt.Errorf("a value is missing in %.60q; write %s", text, v.example)
		case v.Dimension != nil:
			value, err = v.Dimension.Parse(word)
		case errWhole != nil || strconv.Itoa(n) != word:
			err = fmt.Errorf("%.40q is not a whole number from %g to %g", word, low, high)
		default:
			value = float64(n)
		}
		if values = append(values, value); len(values) > MaxRangeValues {
			err = fmt.Errorf("the list has %d values or more, above the limit of %s; use a shorter list", len(values),
				unit.Count(MaxRangeValues))
		}
		if err != nil {
			return nil, err
		}
	}
	return values, nil
}
