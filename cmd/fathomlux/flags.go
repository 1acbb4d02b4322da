package main

import (
	"fmt"
	"slices"
	"strings"

	"fathomlux/scene/document"
	"fathomlux/scene/unit"
)

// oneOf refuses the text of a flag that is none of the words, with the word that may have been meant.
func oneOf(flag, text string, words ...string) error {
	if slices.Contains(words, text) {
		return nil
	}
	hint := ""
	if near := document.Suggest(text, words); near != "" {
		hint = "; did you mean " + near + "?"
	}
	return fmt.Errorf("%s: %.20q is neither %s%s", flag, text, strings.Join(words, " nor "), hint)
}

// quantityIn reads the quantity of a flag, in SI units; span says the range in words, such as "0 and 500 m".
func quantityIn(flag, text string, d *unit.Dimension, low, high float64, span string) (float64, error) {
	v, err := d.Parse(text)
	if err == nil && !(v >= low && v <= high) {
		err = fmt.Errorf("%s is not between %s", text, span)
	}
	if err != nil {
		return 0, fmt.Errorf("%s: %w", flag, err)
	}
	return v, nil
}

// shareIn reads the share of a flag, as "5 %" or 0.05.
func shareIn(flag, text string, low, high float64) (float64, error) {
	text = strings.TrimSpace(text)
	v, rest, err := unit.Split(text)
	switch {
	case err != nil || rest != "%" && rest != "":
		return 0, fmt.Errorf("%s: %.20q is no share; write it as in 5%% or 0.05", flag, text)
	case rest == "%":
		v /= 100
	case v > high && v/100 >= low && v/100 <= high:
		return 0, fmt.Errorf("%s: %.20s is %g%%, which is not between %g%% and %g%%; did you mean %.20s%%?", flag, text,
			100*v, 100*low, 100*high, text)
	}
	if !(v >= low && v <= high) {
		return 0, fmt.Errorf("%s: %.20s is not between %g%% and %g%%", flag, text, 100*low, 100*high)
	}
	return v, nil
}
