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

func newNewCommand(s streams) *cobra.Command {
	var o given
	var force bool
	c := &cobra.Command{
		Use:   "new [FILE]",
		Short: "write a commented starter scene",
		Long: `Writes a scene file with comments, ready to be changed: to scene.yaml where no FILE is named, to standard
output where FILE is "-". A file that exists is left alone unless --force is given.`,
		Example: "fathomlux new scene.yaml\nfathomlux new - | less",
	}
	c.Flags().BoolVar(&force, "force", false, "overwrite a file that exists")
	return command(s, c, &o, func(_ context.Context, s streams) error {
		return writeStarter(s, append(o.args, "scene.yaml")[0], force)
	})
}

// writeStarter writes the starter scene to a path, whole or not at all, or to standard output for "-".
func writeStarter(s streams, path string, force bool) error {
	write := func(w io.Writer) error {
		_, err := io.WriteString(w, scene.Starter())
		return err
	}
	if path == "-" {
		return write(s.Out)
	}
	if err := mayWrite(path, force); err != nil {
		return err
	}
	return output.WriteFile(path, write, func() error {
		_, err := fmt.Fprintf(s.Err, "wrote %s; next: fathomlux check %s\n", path, path)
		return err
	})
}

// mayWrite refuses a path that is taken, unless it is a file and force is set. What else is wrong with it, writing
// tells.
func mayWrite(path string, force bool) error {
	info, err := os.Stat(path)
	switch {
	case err != nil:
		return nil
	case info.IsDir():
		return fmt.Errorf("%s is a folder; name a file in it, such as %s/scene.yaml", path, path)
	case !force:
		return fmt.Errorf("%s exists; give another name, or --force to overwrite it", path)
	}
	return nil
}
