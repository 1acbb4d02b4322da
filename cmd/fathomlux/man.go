package main

import (
	"bytes"
	"context"
	"fmt"
	"strings"
	"time"

	"github.com/spf13/cobra"
	"github.com/spf13/cobra/doc"

	"fathomlux/render/output"
)

func newManCommand(s streams) *cobra.Command {
	var o given
	c := &cobra.Command{
		Use:   "man DIR",
		Short: "write the manual pages to a folder",
		Long: `Writes a page of section 1 for fathomlux and for each of its commands. The texts are the same as those of
--help.`,
		Example: "fathomlux man ~/.local/share/man/man1",
	}
	return command(s, c, &o, func(ctx context.Context, s streams) error {
		return runMan(ctx, s, o.args[0], c.Root())
	})
}

// runMan writes the pages into dir, whole or not at all.
func runMan(ctx context.Context, s streams, dir string, root *cobra.Command) error {
	var files []output.File
	for _, c := range allCommands(root) {
		page, err := manPage(c)
		if err != nil {
			return err
		}
		files = append(files, bytesFile(strings.ReplaceAll(c.CommandPath(), " ", "-")+".1", page))
	}
	return output.WriteSet(ctx, dir, files, func() error {
		_, err := fmt.Fprintf(s.Err, "wrote %d pages to %s\n", len(files), dir)
		return err
	})
}

// manPage is the page of a command, whose text it changes. It bears no date, so that equal programs write equal pages.
func manPage(c *cobra.Command) ([]byte, error) {
	c.DisableAutoGenTag = true
	c.Long = markdown(c.Long) + "\n\n# EXIT STATUS\n" + markdown(indented(exitStatusText(c)))
	c.Example = strings.TrimSpace(indented(c.Example))
	never := time.Time{}
	var b bytes.Buffer
	err := doc.GenMan(c, &doc.GenManHeader{Section: "1", Source: "fathomlux " + programVersion(), Manual: "fathomlux",
		Date: &never}, &b)
	return bytes.Replace(b.Bytes(), []byte(never.Format("Jan 2006")), nil, 1), err
}

// markdown is a help text for the writer of manual pages: lines that are set in stand as they are.
func markdown(text string) string {
	var b strings.Builder
	block := false
	for line := range strings.Lines(text) {
		if set := strings.HasPrefix(line, " "); set != block {
			b.WriteByte('\n')
			block = set
		}
		if block {
			b.WriteString("    ")
		}
		b.WriteString(line)
	}
	return b.String()
}
