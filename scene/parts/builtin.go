package parts

import (
	"embed"
	"fmt"
	"io/fs"
	"sync"

	"fathomlux/scene/document"
)

//go:embed data
var data embed.FS

// builtinFiles are the tables of built-in parts, what others name first.
var builtinFiles = []string{
	"data/spectra.yaml", "data/modules.yaml", "data/optics.yaml",
	"data/drivers.yaml", "data/profiles.yaml", "data/waters.yaml",
}

// Builtin returns a fresh copy of the built-in parts, which are generic and invented.
func Builtin() *Catalogue { return builtin().clone() }

var builtin = sync.OnceValue(readBuiltin)

// readBuiltin reads the embedded tables; it panics where one of them is broken. The files are parsed side by side, as
// every start waits for them, and read in order.
func readBuiltin() *Catalogue {
	lib, reports := newCatalogue(), make([]document.Report, len(builtinFiles))
	roots := make([]document.Node, len(builtinFiles))
	var parsed sync.WaitGroup
	for i, file := range builtinFiles {
		parsed.Go(func() { roots[i], _ = document.Read(file, mustRead(file), &reports[i]) })
	}
	parsed.Wait()
	for i := range builtinFiles {
		if roots[i].Exists() {
			Read(roots[i], nil, &reports[i], lib)
		}
		if err := reports[i].Err(); err != nil {
			panic(fmt.Sprintf("built-in parts: %v", err))
		}
	}
	return lib
}

func mustRead(file string) []byte {
	content, err := fs.ReadFile(data, file)
	if err != nil {
		panic(err)
	}
	return content
}
