package parts

import (
	"embed"
	"fmt"
	"strings"
)

//go:embed starters
var starters embed.FS

// StarterKinds are the kinds of parts that there is a starter of.
func StarterKinds() []string { return []string{"module", "optic", "driver", "profile"} }

// Starter returns a commented file with one part of a kind and name, whose keys follow the columns of data sheets; file
// is what the file is called in its comments. The part is sound as it is; its figures are invented.
func Starter(kind, name, file string) (string, error) {
	if !namePattern.MatchString(name) {
		return "", fmt.Errorf("%.60q is no name of a part: letters, digits, dots, dashes and underscores, no dash in front",
			name)
	}
	text, err := starters.ReadFile("starters/" + kind + ".yaml")
	return strings.NewReplacer("NAME", name, "FILE", file).Replace(string(text)), err
}
