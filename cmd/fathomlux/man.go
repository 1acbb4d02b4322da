package main

import (
	"context"
	"fmt"
	"io"
	"slices"
	"strings"

	"github.com/spf13/cobra"
	"github.com/spf13/pflag"

	"fathomlux/render/output"
)

// manOptions are the options of the command man.
type manOptions struct {
	dir  string
	root *cobra.Command
}

func newManCommand(s streams, run func(context.Context, streams, manOptions) error) *cobra.Command {
	return &cobra.Command{
		Use:     "man DIR",
		Short:   "write the manual pages to a folder",
		Long:    "Writes a page of section 1 for fathomlux and for each of its commands. Their texts are those of --help.\n\n" + exitStatusDoc,
		Example: "  fathomlux man ~/.local/share/man/man1\n  man fathomlux-map",
		Args:    needArgs(1, 1, "fathomlux man man1"),
		RunE: func(c *cobra.Command, args []string) error {
			return run(c.Context(), s, manOptions{dir: args[0], root: c.Root()})
		},
	}
}

func runMan(ctx context.Context, s streams, o manOptions) error {
	var files []output.File
	for _, c := range allCommands(o.root) {
		var b strings.Builder
		writeManPage(&b, c)
		files = append(files, bytesFile(manName(c)+".1", []byte(b.String())))
	}
	return output.WriteSet(ctx, o.dir, files, func() error {
		_, err := fmt.Fprintf(s.Err, "wrote %d pages to %s\n", len(files), o.dir)
		return err
	})
}

// allCommands returns a command and all below it that are told of, in their order.
func allCommands(c *cobra.Command) []*cobra.Command {
	all := []*cobra.Command{c}
	for _, child := range c.Commands() {
		if !child.Hidden {
			all = append(all, allCommands(child)...)
		}
	}
	return all
}

// manName is the name of a command's page: "fathomlux-parts-show".
func manName(c *cobra.Command) string { return strings.ReplaceAll(c.CommandPath(), " ", "-") }

// writeManPage writes one page in the macros of man(7). It bears no date, so that equal programs write equal pages.
func writeManPage(w io.Writer, c *cobra.Command) {
	c.InitDefaultHelpFlag()
	fmt.Fprintf(w, ".TH %s 1 \"\" \"fathomlux %s\" \"fathomlux\"\n", strings.ToUpper(roff(manName(c))), roff(programVersion()))
	fmt.Fprintf(w, ".SH NAME\n%s \\- %s\n", roff(manName(c)), roff(c.Short))
	fmt.Fprintf(w, ".SH SYNOPSIS\n.B %s\n", roff(c.CommandPath()))
	fmt.Fprintf(w, "%s\n", roffLine(strings.TrimSpace(strings.TrimPrefix(c.UseLine(), c.CommandPath()))))
	about, statuses, _ := strings.Cut(c.Long, "Exit status:\n")
	fmt.Fprintf(w, ".SH DESCRIPTION\n%s", roffText(about))
	if children := allCommands(c)[1:]; len(children) > 0 {
		fmt.Fprint(w, ".SH COMMANDS\n")
		for _, child := range children {
			fmt.Fprintf(w, ".TP\n.B %s\n%s\n", roff(strings.TrimPrefix(child.CommandPath(), c.CommandPath()+" ")), roffLine(child.Short))
		}
	}
	fmt.Fprint(w, ".SH OPTIONS\n")
	c.Flags().VisitAll(func(f *pflag.Flag) { writeManFlag(w, f) })
	if c.Example != "" {
		fmt.Fprintf(w, ".SH EXAMPLES\n.nf\n%s.fi\n", roffText(c.Example))
	}
	fmt.Fprintf(w, ".SH EXIT STATUS\n.nf\n%s.fi\n", roffText(statuses))
	if c.HasParent() {
		fmt.Fprintf(w, ".SH SEE ALSO\n.BR %s (1)\n", roff(manName(c.Parent())))
	}
}

// writeManFlag writes one flag: its names, what it takes and what it does.
func writeManFlag(w io.Writer, f *pflag.Flag) {
	if f.Hidden {
		return
	}
	takes, usage := pflag.UnquoteUsage(f)
	if !strings.Contains(usage, "(default") && !slices.Contains([]string{"", "0", "false", "[]"}, f.DefValue) {
		usage += " (default " + f.DefValue + ")"
	}
	names := `\fB\-\-` + roff(f.Name) + `\fR`
	if f.Shorthand != "" {
		names = `\fB\-` + roff(f.Shorthand) + `\fR, ` + names
	}
	if takes != "" {
		names += ` \fI` + roff(takes) + `\fR`
	}
	fmt.Fprintf(w, ".TP\n%s\n%s\n", names, roffLine(usage))
}

// roff writes text so that nothing in it is a command of the typesetter: backslashes, dashes (which would become
// hyphens that nobody can paste into a shell), and quotes that would be set as curly ones.
func roff(text string) string {
	return strings.NewReplacer(`\`, `\e`, "-", `\-`, "'", `\(aq`, "`", `\(ga`, "^", `\(ha`, "~", `\(ti`).Replace(text)
}

// roffLine is roff for a line of its own, at whose start a dot would be a command.
func roffLine(line string) string {
	line = roff(line)
	if strings.HasPrefix(line, ".") {
		return `\&` + line
	}
	return line
}

// roffText is roff for a text of several lines; an empty line starts a paragraph, an indented one stands for itself.
func roffText(text string) string {
	var b strings.Builder
	for _, line := range strings.Split(strings.Trim(text, "\n"), "\n") {
		if strings.TrimSpace(line) == "" {
			b.WriteString(".PP\n")
			continue
		}
		b.WriteString(roffLine(line) + "\n")
	}
	return b.String()
}
