package main

import (
	"context"
	"fmt"
	"io"
	"os"

	"github.com/spf13/cobra"

	"fathomlux/render/output"
	"fathomlux/scene"
)

// newOptions are the options of the command new.
type newOptions struct {
	path  string // "-" for standard output
	force bool
}

func newNewCommand(s streams, run func(context.Context, streams, newOptions) error) *cobra.Command {
	var o newOptions
	c := &cobra.Command{
		Use:   "new [FILE]",
		Short: "write a commented starter scene",
		Long: "Writes a scene file with comments, ready to be changed: to scene.yaml where no FILE is named, to standard\n" +
			"output where FILE is \"-\". A file that exists is left alone unless --force is given.",
		Example: "fathomlux new scene.yaml\nfathomlux new\n  fathomlux new - | less",
		RunE: func(c *cobra.Command, args []string) error {
			o.path = "scene.yaml"
			if len(args) == 1 {
				o.path = args[0]
			}
			return run(c.Context(), s, o)
		},
	}
	c.Flags().BoolVar(&o.force, "force", false, "overwrite a file that exists")
	return c
}

// runNew writes the starter scene, whole or not at all.
func runNew(_ context.Context, s streams, o newOptions) error {
	write := func(w io.Writer) error {
		_, err := io.WriteString(w, scene.Starter())
		return err
	}
	if o.path == "-" {
		return write(s.Out)
	}
	if err := mayWrite(o); err != nil {
		return err
	}
	return output.WriteFile(o.path, write, func() error {
		_, err := fmt.Fprintf(s.Err, "wrote %s; next: fathomlux check %s\n", o.path, o.path)
		return err
	})
}

// mayWrite refuses a path that is taken, unless it is a file and --force was given. What else is wrong with it, writing tells.
func mayWrite(o newOptions) error {
	info, err := os.Stat(o.path)
	switch {
	case err != nil:
		return nil
	case info.IsDir():
		return fmt.Errorf("%s is a folder; name a file in it, such as %s/scene.yaml", o.path, o.path)
	case !o.force:
		return fmt.Errorf("%s exists; give another name, or --force to overwrite it", o.path)
	}
	return nil
}
