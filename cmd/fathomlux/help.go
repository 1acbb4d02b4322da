package main

import (
	"bytes"
	"context"
	"fmt"
	"path/filepath"
	"slices"
	"strings"
	"time"

	"github.com/spf13/cobra"
	"github.com/spf13/cobra/doc"
	"github.com/spf13/pflag"

	"fathomlux/render/output"
	"fathomlux/scene"
	"fathomlux/scene/edit"
	"fathomlux/scene/parts"
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
		var files []output.File
		for _, c := range allCommands(c.Root()) {
			page, err := manPage(c)
			if err != nil {
				return err
			}
			files = append(files, output.File{Name: strings.ReplaceAll(c.CommandPath(), " ", "-") + ".1", Data: page})
		}
		onInterrupt(ctx).writes.Store(true)
		return output.WriteSet(ctx, o.args[0], files, func() error {
			_, err := fmt.Fprintf(s.Err, "wrote %d pages to %s\n", len(files), o.args[0])
			return err
		})
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

func newCompletionCommand(s streams) *cobra.Command {
	var o given
	c := &cobra.Command{
		Use:   "completion bash|zsh|fish|powershell",
		Short: "print a script that completes commands, flags and part names in a shell",
		Long: `Prints a script with which a shell completes commands, flags, scene files and the names of parts, including
those of the scene that is named in the call. In bash it needs bash-completion,
a package of most systems.`,
		Example: `fathomlux completion bash > ~/.local/share/bash-completion/completions/fathomlux
fathomlux completion zsh > "${fpath[1]}/_fathomlux"
fathomlux completion fish > ~/.config/fish/completions/fathomlux.fish
fathomlux completion powershell | Out-String | Invoke-Expression`,
		ValidArgs: []string{"bash", "zsh", "fish", "powershell"},
	}
	return command(s, c, &o, func(_ context.Context, s streams) error {
		switch root := c.Root(); o.args[0] {
		case "bash":
			return root.GenBashCompletionV2(s.Out, true)
		case "zsh":
			return root.GenZshCompletion(s.Out)
		case "fish":
			return root.GenFishCompletion(s.Out, true)
		case "powershell":
			return root.GenPowerShellCompletionWithDesc(s.Out)
		}
		return oneOf("the shell", o.args[0], c.ValidArgs...)
	})
}

// offers are what may stand behind a flag, or for an argument by its name in the use line: words, or which files.
// Names are those of the first scene among the arguments that can be read, else of the built-in parts. What has no
// words is a number or a quantity, never a file.
func offers(c *cobra.Command, of string, args []string) ([]string, cobra.ShellCompDirective) {
	var words []string
	if f := c.Flags().Lookup(of); f != nil {
		if of, is := f.Value.(choice); is {
			words = of.words
		}
	}
	sc := sceneOf(args)
	switch of {
	case "plane":
		words = []string{"surface", "mid", "floor"}
	case "SCENE":
		return []string{"yaml", "yml"}, cobra.ShellCompDirectiveFilterFileExt
	case "PART":
		return []string{partEnding}, cobra.ShellCompDirectiveFilterFileExt
	case "DIR", "out":
		return nil, cobra.ShellCompDirectiveFilterDirs
	case "FILE", "READINGS":
		return nil, cobra.ShellCompDirectiveDefault
	case "COMMAND":
		words = commandNames(c.Root())
	case "NAME":
		for _, k := range partKinds {
			words = append(words, k.names(parts.Builtin())...)
		}
	case "optic":
		words = parts.Names(sc.Catalogue.Optics)
	case "part":
		words = parts.Names(sc.Catalogue.Modules)
	case "driver":
		words = parts.Names(sc.Catalogue.Drivers)
	case "rail":
		for _, r := range sc.Rails {
			words = append(words, r.Name)
		}
	case "vary": // up to the equals sign; a range is for the user to say
		for _, v := range edit.Variables() {
			words = append(words, v.Name+"=")
		}
		return words, cobra.ShellCompDirectiveNoFileComp | cobra.ShellCompDirectiveNoSpace
	}
	return words, cobra.ShellCompDirectiveNoFileComp
}

// complete returns what completes words with commas between, by what is offered.
func complete(of func(args []string) string) cobra.CompletionFunc {
	return func(c *cobra.Command, args []string, typed string) ([]string, cobra.ShellCompDirective) {
		words, directive := offers(c, of(args), args)
		if directive == cobra.ShellCompDirectiveFilterFileExt {
			return words, directive
		}
		before := typed[:strings.LastIndex(typed, ",")+1]
		var list []string
		for _, word := range words {
			if strings.HasPrefix(word, typed[len(before):]) && !slices.Contains(strings.Split(before, ","), word) {
				list = append(list, before+word)
			}
		}
		return list, directive
	}
}

// addCompletions teaches all commands below root to complete flags, folders, scene files and parts.
func addCompletions(root *cobra.Command) {
	for _, c := range allCommands(root)[1:] {
		c.Flags().VisitAll(func(f *pflag.Flag) { // the flag is there
			_ = c.RegisterFlagCompletionFunc(f.Name, complete(func([]string) string { return f.Name }))
		})
		if len(c.ValidArgs) == 0 {
			c.ValidArgsFunction = complete(func(args []string) string { return placeOf(c, len(args)) })
		}
	}
}

// placeOf names argument number i of a command's use without its marks: SCENE for "[SCENE...]"; "" where there is none.
func placeOf(c *cobra.Command, i int) string {
	places := placesOf(c)
	if n := len(places); n > 0 && i >= n && strings.Contains(places[n-1], "...") {
		i = n - 1
	}
	if i >= len(places) {
		return ""
	}
	return strings.Trim(places[i], "[].")
}

// sceneOf returns the first scene among the arguments that can be read, else one with the built-in parts alone.
func sceneOf(args []string) *scene.Scene {
	for _, arg := range args {
		if ext := filepath.Ext(arg); ext == ".yaml" || ext == ".yml" {
			if sc, err := scene.Read(arg); err == nil {
				return sc
			}
		}
	}
	return &scene.Scene{Catalogue: parts.Builtin()}
}
