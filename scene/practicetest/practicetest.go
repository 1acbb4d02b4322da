// Package practicetest holds parts with the check values of the trade, for tests alone: common practice, no published
// source. No built-in part and no example has their figures.
package practicetest

import (
	_ "embed"
	"sync"

	"fathomlux/scene/document"
	"fathomlux/scene/parts"
)

// Text is the table of these parts, as a scene's own file of parts.
//
//go:embed parts.yaml
var Text []byte

// Parts returns the built-in parts, these in place of those of their names; callers share and do not change them.
var Parts = sync.OnceValue(func() *parts.Catalogue {
	var report document.Report
	lib := parts.Builtin()
	if root, ok := document.Read("parts.yaml", Text, &report); ok {
		parts.Read(root, nil, &report, lib)
	}
	if err := report.Err(); err != nil {
		panic(err)
	}
	return lib
})
