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

func newCompletionCommand(s streams) *cobra.Command {
	var o given
	c := &cobra.Command{
		Use:   "completion bash|zsh|fish|powershell",
		Short: "print a script that completes commands, flags and part names in a shell",
		Long: `Prints a script with which a shell completes commands, flags, scene files and the names of parts, those of the
scene on the line too.`,
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

// flagWords are what the flags of a name may be, in every command that has them.
var flagWords = map[string]string{"plane": "surface mid floor", "units": "metric us", "grid": "fine standard",
	"engine": "full direct traced", "format": "png svg pdf", "paper": "a4 letter", "feed": "left right"}

// wordsOf are the words that a flag may be: fixed ones, or names of the first scene among the arguments that can be
// read, else of the built-in parts. What has no words is a number or a quantity, never a file.
func wordsOf(flag string, args []string) (words []string) {
	sc := sceneOf(args)
	if sc == nil {
		sc = &scene.Scene{Catalogue: parts.Builtin()}
	}
	switch flag {
	case "optic":
		return parts.Names(sc.Catalogue.Optics)
	case "part":
		return parts.Names(sc.Catalogue.Modules)
	case "driver":
		return parts.Names(sc.Catalogue.Drivers)
	case "rail":
		for _, r := range sc.Rails {
			words = append(words, r.Name)
		}
		return words
	}
	return strings.Fields(flagWords[flag])
}

// completeVary completes the name of a variable up to its equals sign; a range is for the user to say.
func completeVary(_ *cobra.Command, _ []string, typed string) ([]string, cobra.ShellCompDirective) {
	var names []string
	for _, v := range edit.Variables() {
		names = append(names, v.Name+"=")
	}
	return withPrefix(names, typed), cobra.ShellCompDirectiveNoFileComp | cobra.ShellCompDirectiveNoSpace
}

// addCompletions teaches all commands below root to complete flags, folders, scene files and parts.
func addCompletions(root *cobra.Command) {
	for _, c := range allCommands(root)[1:] {
		c.Flags().VisitAll(func(f *pflag.Flag) {
			complete := completeList(f.Name)
			if f.Name == "vary" {
				complete = completeVary
			} else if f.Name == "out" {
				complete = completeFolder
			}
			_ = c.RegisterFlagCompletionFunc(f.Name, complete) // the flag is there
		})
		if len(c.ValidArgs) == 0 {
			c.ValidArgsFunction = completeArgs
		}
	}
}

func completeFolder(*cobra.Command, []string, string) ([]string, cobra.ShellCompDirective) {
	return nil, cobra.ShellCompDirectiveFilterDirs
}

// completeList completes the words of a flag, with commas between.
func completeList(flag string) cobra.CompletionFunc {
	return func(_ *cobra.Command, args []string, typed string) ([]string, cobra.ShellCompDirective) {
		before, last := "", typed
		if comma := strings.LastIndex(typed, ","); comma >= 0 {
			before, last = typed[:comma+1], typed[comma+1:]
		}
		taken := strings.Split(before, ",")
		var list []string
		for _, word := range wordsOf(flag, args) {
			if strings.HasPrefix(word, last) && !slices.Contains(taken, word) {
				list = append(list, before+word)
			}
		}
		return list, cobra.ShellCompDirectiveNoFileComp
	}
}

// completeArgs completes scene files where the command's use says SCENE, part names where it says NAME, and so on.
func completeArgs(c *cobra.Command, args []string, typed string) ([]string, cobra.ShellCompDirective) {
	places := placesOf(c)
	if len(places) == 0 {
		return nil, cobra.ShellCompDirectiveNoFileComp
	}
	place := places[min(len(args), len(places)-1)]
	switch {
	case len(args) >= len(places) && !strings.Contains(place, "..."):
		return nil, cobra.ShellCompDirectiveNoFileComp
	case strings.Contains(place, "NAME"):
		return withPrefix(partNames(), typed), cobra.ShellCompDirectiveNoFileComp
	case strings.Contains(place, "SCENE"):
		return []string{"yaml", "yml"}, cobra.ShellCompDirectiveFilterFileExt
	case strings.Contains(place, "DIR"):
		return nil, cobra.ShellCompDirectiveFilterDirs
	case strings.Contains(place, "COMMAND"):
		return withPrefix(commandNames(c.Root()), typed), cobra.ShellCompDirectiveNoFileComp
	}
	return nil, cobra.ShellCompDirectiveDefault
}

// partNames are the names of all built-in parts.
func partNames() (names []string) {
	for _, k := range partKinds {
		names = append(names, k.names(parts.Builtin())...)
	}
	slices.Sort(names)
	return slices.Compact(names)
}

func withPrefix(words []string, prefix string) []string {
	return slices.DeleteFunc(words, func(word string) bool { return !strings.HasPrefix(word, prefix) })
}

// sceneOf returns the first scene among the arguments that can be read, nil where there is none.
func sceneOf(args []string) *scene.Scene {
	for _, arg := range args {
		if ext := filepath.Ext(arg); ext != ".yaml" && ext != ".yml" {
			continue
		}
		if sc, err := scene.Read(arg); err == nil {
			return sc
		}
	}
	return nil
}
