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
	best, bestName := min(max(len(lower)/3, 1), maxEdits)+1, ""
	if len(lower) > maxText {
		return ""
	}
	for _, name := range names {
		if gap := len(name) - len(word); gap > 4*maxEdits || gap < -4*maxEdits { // a letter has at most four bytes
			continue
		}
		if d := distance(lower, []rune(strings.ToLower(name))); d < best {
			best, bestName = d, name
		}
	}
	return bestName
}

// Unknown says that there is no thing of a name among names, and which may have been meant, or which there are.
func Unknown(noun, name string, names []string) string {
	if near := Suggest(name, names); near != "" {
		return fmt.Sprintf("there is no %s %.60q; did you mean %q?", noun, name, near)
	}
	const most = 16
	list := strings.Join(names, ", ")
	if len(names) > most {
		list = fmt.Sprintf("%s and %d more", strings.Join(names[:most], ", "), len(names)-most)
	}
	return fmt.Sprintf("there is no %s %.60q; known are %s", noun, name, list)
}

// suggestion says which name may have been meant, or which there are.
func suggestion(word string, names []string) string {
	if near := Suggest(word, names); near != "" {
		return fmt.Sprintf("did you mean %q?", near)
	}
	return "known are " + strings.Join(names, ", ")
}

// distance counts the edits between two words: the optimal string alignment distance of Damerau and Levenshtein, or a
// number above maxEdits where they differ by more letters than that in length.
func distance(x, y []rune) int {
	if gap := len(x) - len(y); gap > maxEdits || gap < -maxEdits {
		return maxEdits + 1
	}
	var rows [3][maxText + maxEdits + 1]int // the row in work and the two before it
	for j := range len(y) + 1 {
		rows[0][j] = j
	}
	for i := 1; i <= len(x); i++ {
		row, above, twoAbove := &rows[i%3], &rows[(i+2)%3], &rows[(i+1)%3]
		row[0] = i
		for j := 1; j <= len(y); j++ {
			change := 1
			if x[i-1] == y[j-1] {
				change = 0
			}
			d := min(above[j]+1, row[j-1]+1, above[j-1]+change)
			if i > 1 && j > 1 && x[i-1] == y[j-2] && x[i-2] == y[j-1] {
				d = min(d, twoAbove[j-2]+1)
			}
			row[j] = d
		}
	}
	return rows[len(x)%3][len(y)]
}
