package scene

import _ "embed"

//go:embed starter.yaml
var starter string

// Starter returns the commented scene that a new plan begins with. It is sound and uses built-in parts only.
func Starter() string { return starter }
