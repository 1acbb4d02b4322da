// Package schema writes JSON Schemas (2020-12) of the scene file and of a file of parts, for editors that complete and
// check while somebody types. It says which keys there are, what stands behind each, in which units and range, and
// which built-in parts may be named; package key has the rows. What only a whole scene can tell, such as water above
// the rim, the readers in the packages scene and parts alone know; they decide. Next: package key for the keys, package
// unit for the patterns of quantities.
package schema

import (
	"bytes"
	"encoding/json"

	"fathomlux/scene/key"
	"fathomlux/scene/parts"
)

// dialect is the JSON Schema version that the schemas are written in.
const dialect = "https://json-schema.org/draft/2020-12/schema"

// Scene returns the schema of a scene file. Names of parts are held against the built-in ones where the scene has no
// parts of its own.
func Scene() []byte {
	w := writer{namesOf(parts.Builtin())}
	s := w.table(key.Scene)
	s["title"] = "fathomlux scene"
	s["if"] = object{"not": object{"required": []string{"parts"}}}
	s["then"] = w.names(key.Shape{Kind: key.Mapping, Keys: key.Scene})
	return encode(s)
}

// Parts returns the schema of a file of parts.
func Parts() []byte {
	s := writer{namesOf(parts.Builtin())}.table(key.PartTables)
	s["title"] = "fathomlux parts"
	return encode(s)
}

// namesOf returns the names of the built-in parts by their kind.
func namesOf(lib *parts.Catalogue) map[string][]string {
	return map[string][]string{"module": parts.Names(lib.Modules), "optic": parts.Names(lib.Optics),
		"driver":  parts.Names(lib.Drivers),
		"profile": parts.Names(lib.Profiles), "spectrum": parts.Names(lib.Spectra), "kind of water": parts.Names(lib.Waters)}
}

// encode writes a schema with sorted keys, the same bytes each time.
func encode(s object) []byte {
	s["$schema"] = dialect
	var b bytes.Buffer
	e := json.NewEncoder(&b)
	e.SetEscapeHTML(false)
	e.SetIndent("", "  ")
	if err := e.Encode(s); err != nil {
		panic(err) // the tables hold texts and numbers only
	}
	return b.Bytes()
}
