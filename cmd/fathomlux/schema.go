package main

import (
	"context"
	"fmt"

	"github.com/spf13/cobra"

	"fathomlux/scene/schema"
)

// schemaOptions are the options of the command schema.
type schemaOptions struct{ of string } // scene or parts

func newSchemaCommand(s streams, run func(context.Context, streams, schemaOptions) error) *cobra.Command {
	return &cobra.Command{
		Use:   "schema [scene|parts]",
		Short: "print the JSON Schema of the scene file, for editors",
		Long: "Prints the JSON Schema (2020-12) of the scene file, or of a file of parts. An editor with a YAML language server\n" +
			"completes and checks with it while you type, where the scene's first line names it:\n\n" +
			"  # yaml-language-server: $schema=scene.schema.json\n\n" +
			"It knows keys, units and built-in parts; what only a whole scene can tell, check finds.",
		Example:   "  fathomlux schema > scene.schema.json\n  fathomlux schema parts > parts.schema.json",
		ValidArgs: []string{"scene", "parts"},
		RunE: func(c *cobra.Command, args []string) error {
			o := schemaOptions{of: "scene"}
			if len(args) == 1 {
				o.of = args[0]
			}
			return run(c.Context(), s, o)
		},
	}
}

func runSchema(_ context.Context, s streams, o schemaOptions) error {
	var text []byte
	switch o.of {
	case "scene":
		text = schema.Scene()
	case "parts":
		text = schema.Parts()
	default:
		return fmt.Errorf("there is no schema of %.40q; there are scene and parts", o.of)
	}
	_, err := s.Out.Write(text)
	return err
}
