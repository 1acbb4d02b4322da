package document

import (
	"fmt"
	"strings"
)

// maxEdits is how many letters at most may differ between a word and the name that is suggested for it.
const maxEdits = 3

// Suggest returns the nearest of names to word, "" when none is near: at most one letter in three (always one, never
// more than three) may be changed, added, left out or swapped with its neighbour. Capitals count for nothing.
func Suggest(word string, names []string) string {
	lower := []rune(strings.ToLower(word))
	budget, nearest := min(max(len(lower)/3, 1), maxEdits), ""
	for _, name := range names {
		if d := edits(lower, []rune(strings.ToLower(name)), budget); d <= budget {
			budget, nearest = d-1, name
		}
	}
	return nearest
}

// Unknown says that there is no thing of a name among names, and which may have been meant, or which there are.
func Unknown(noun, name string, names []string) string {
	return fmt.Sprintf("there is no %s %.60q; %s", noun, name, suggestion(name, names))
}

// suggestion says which name may have been meant, or which there are.
func suggestion(word string, names []string) string {
	const most = 16
	near, list := Suggest(word, names), strings.Join(names[:min(len(names), most)], ", ")
	switch {
	case near != "":
		return fmt.Sprintf("did you mean %q?", near)
	case len(names) > most:
		return fmt.Sprintf("known are %s and %d more", list, len(names)-most)
	}
	return "known are " + list
}

// edits counts the edits between two words, the optimal string alignment distance of Damerau and Levenshtein, or
// returns a number above budget where there are more.
func edits(x, y []rune, budget int) int {
	for len(x) > 0 && len(y) > 0 && x[0] == y[0] {
		x, y = x[1:], y[1:]
	}
	switch gap := max(len(x)-len(y), len(y)-len(x)); {
	case gap > budget:
		return budget + 1
	case len(x) == 0 || len(y) == 0:
		return gap
	}
	left := budget - 1
	n := min(edits(x[1:], y, left), edits(x, y[1:], left), edits(x[1:], y[1:], left))
	if len(x) > 1 && len(y) > 1 && x[0] == y[1] && x[1] == y[0] {
		n = min(n, edits(x[2:], y[2:], left))
	}
	return n + 1
}
