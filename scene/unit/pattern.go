package unit

import (
	"regexp"
	"strings"
)

// NumberPattern is a regular expression for the numbers that Parse and ParseNumber read.
const NumberPattern = `[+-]?(\d+\.?\d*|\.\d+)([eE][+-]?\d+)?`

// Pattern returns a regular expression for what Parse reads, in the syntax that ECMA-262 and Go share, for schemas that
// editors check while somebody types. It knows spaces beside the slash of a unit, not inside its letters, where Parse
// is more patient.
func (d *Dimension) Pattern() string {
	var spellings []string
	for _, u := range d.units {
		for _, name := range u.names {
			spellings = append(spellings, spelling(name))
		}
	}
	return `^\s*` + NumberPattern + `\s*(` + strings.Join(spellings, "|") + `)\s*$`
}

// spelling returns a pattern for a unit with the letters that plainUnit takes for plain ones.
func spelling(name string) string {
	name = regexp.QuoteMeta(name)
	if strings.HasPrefix(name, "um") {
		name = "[u\u00b5\u03bc]" + name[1:]
	}
	return strings.NewReplacer("1/", "1/ *", "m2", `m(2|\^2|`+"\u00b2)", "in2", `in(2|\^2|`+"\u00b2)", "mK", "m *K",
		"/", " */ *").Replace(name)
}
