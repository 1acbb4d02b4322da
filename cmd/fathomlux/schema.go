package main

import (
	"context"

	"github.com/spf13/cobra"

	"fathomlux/scene/schema"
)

func newSchemaCommand(s streams) *cobra.Command {
	var o given
	c := &cobra.Command{
		Use:   "schema [scene|parts]",
		Short: "print the JSON Schema of the scene file, for editors",
		Long: `Prints the JSON Schema (2020-12) of the scene file, or of a file of parts. An editor with a YAML language
server completes and checks with it while you type, if the first line of the scene names it:

  # yaml-language-server: $schema=scene.schema.json

It knows keys, units and built-in parts; faults that only a whole scene shows are found by check.`,
		Example:   "fathomlux schema parts > parts.schema.json\nfathomlux schema > scene.schema.json",
		ValidArgs: []string{"scene", "parts"},
	}
	return command(s, c, &o, func(_ context.Context, s streams) error {
		of := append(o.args, "scene")[0]
		if err := oneOf("the argument", of, c.ValidArgs...); err != nil {
			return err
		}
		text := schema.Scene()
		if of == "parts" {
			text = schema.Parts()
		}
		_, err := s.Out.Write(text)
		return err
	})
}
