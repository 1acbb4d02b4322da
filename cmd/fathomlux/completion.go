package main

import (
	"context"
	"fmt"
	"path/filepath"
	"slices"
	"strings"

	"github.com/spf13/cobra"
	"github.com/spf13/pflag"

	"fathomlux/optics"
	"fathomlux/scene"
	"fathomlux/scene/edit"
	"fathomlux/scene/parts"
)

// shells are the shells that completion knows, each with what writes its script.
var shells = map[string]func(root *cobra.Command, s streams) error{
	"bash":       func(root *cobra.Command, s streams) error { return root.GenBashCompletionV2(s.Out, true) },
	"zsh":        func(root *cobra.Command, s streams) error { return root.GenZshCompletion(s.Out) },
	"fish":       func(root *cobra.Command, s streams) error { return root.GenFishCompletion(s.Out, true) },
	"powershell": func(root *cobra.Command, s streams) error { return root.GenPowerShellCompletionWithDesc(s.Out) },
}

// shellNames are the keys of shells in the order in which they are told.
var shellNames = []string{"bash", "zsh", "fish", "powershell"}

// completionOptions are the options of the command completion.
type completionOptions struct {
	shell string
	root  *cobra.Command
}

func newCompletionCommand(s streams, run func(context.Context, streams, completionOptions) error) *cobra.Command {
	return &cobra.Command{
		Use:   "completion bash|zsh|fish|powershell",
		Short: "print what completes commands, flags and part names in a shell",
		Long: "Prints a script that lets a shell complete commands, flags, scene files, and the names of parts, those of the\n" +
			"scene on the line too.",
		Example: `fathomlux completion bash > ~/.local/share/bash-completion/completions/fathomlux
fathomlux completion zsh > "${fpath[1]}/_fathomlux"
fathomlux completion fish > ~/.config/fish/completions/fathomlux.fish
fathomlux completion powershell | Out-String | Invoke-Expression`,
		ValidArgs: shellNames,
		RunE: func(c *cobra.Command, args []string) error {
			return run(c.Context(), s, completionOptions{shell: args[0], root: c.Root()})
		},
	}
}

func runCompletion(_ context.Context, s streams, o completionOptions) error {
	write, ok := shells[o.shell]
	if !ok {
		return fmt.Errorf("%.40q is no shell that is known here; known are %s", o.shell, strings.Join(shellNames, ", "))
	}
	return write(o.root, s)
}

// flagWords are what the flags of a name may be, in every command that has them.
var flagWords = map[string]func(args []string) []string{
	"optic":  func(args []string) []string { return catalogueOf(args).OpticNames() },
	"part":   func(args []string) []string { return catalogueOf(args).ModuleNames() },
	"driver": func(args []string) []string { return catalogueOf(args).DriverNames() },
	"plane":  func([]string) []string { return []string{"surface", "mid", "floor"} },
	"units":  func([]string) []string { return []string{"metric", "us"} },
	"grid":   func([]string) []string { return []string{"fine", "standard"} },
	"engine": func([]string) []string {
		return []string{string(optics.Full), string(optics.Direct), string(optics.Traced)}
	},
	"paper": func([]string) []string { return []string{"a4", "letter"} },
	"feed":  func([]string) []string { return []string{"left", "right"} },
	"rail":  railNames,
}

// railNames are the names of the rails of the first scene among the arguments that can be read.
func railNames(args []string) (names []string) {
	if sc := sceneOf(args); sc != nil {
		for _, r := range sc.Rails {
			names = append(names, r.Name)
		}
	}
	return names
}

// completeVary completes the name of a variable up to its equals sign; a range is for the user to say.
func completeVary(_ *cobra.Command, _ []string, typed string) ([]string, cobra.ShellCompDirective) {
	var names []string
	for _, v := range edit.Variables() {
		names = append(names, v.Name+"=")
	}
	return withPrefix(names, typed), cobra.ShellCompDirectiveNoFileComp | cobra.ShellCompDirectiveNoSpace
}

// addCompletions teaches all commands below root to complete the flags of flagWords, folders, scene files and parts. A
// flag that has its words already keeps them.
func addCompletions(root *cobra.Command) {
	for _, c := range root.Commands() {
		for name, words := range flagWords {
			if c.Flags().Lookup(name) != nil {
				_ = c.RegisterFlagCompletionFunc(name, completeList(words)) // an error says that it has words already
			}
		}
		if c.Flags().Lookup("vary") != nil {
			_ = c.RegisterFlagCompletionFunc("vary", completeVary)
		}
		c.Flags().VisitAll(func(f *pflag.Flag) { // what has no words is a number or a quantity, never a file
			if _, has := c.GetFlagCompletionFunc(f.Name); !has && f.Name != "out" {
				_ = c.RegisterFlagCompletionFunc(f.Name, cobra.NoFileCompletions)
			}
		})
		if c.Flags().Lookup("out") != nil {
			_ = c.MarkFlagDirname("out") // the flag is there
		}
		if c.ValidArgsFunction == nil && len(c.ValidArgs) == 0 {
			c.ValidArgsFunction = completeArgs(c)
		}
		addCompletions(c)
	}
}

// completeList completes words with commas between; the words depend on the arguments before the flag.
func completeList(words func(args []string) []string) cobra.CompletionFunc {
	return func(_ *cobra.Command, args []string, typed string) ([]string, cobra.ShellCompDirective) {
		before, last := "", typed
		if comma := strings.LastIndex(typed, ","); comma >= 0 {
			before, last = typed[:comma+1], typed[comma+1:]
		}
		taken := strings.Split(before, ",")
		var list []string
		for _, word := range words(args) {
			if strings.HasPrefix(word, last) && !slices.Contains(taken, word) {
				list = append(list, before+word)
			}
		}
		return list, cobra.ShellCompDirectiveNoFileComp
	}
}

// completeArgs completes scene files where the command's use says SCENE or FILE, and part names where it says NAME.
func completeArgs(c *cobra.Command) cobra.CompletionFunc {
	words := strings.Fields(c.Use)[1:]
	return func(_ *cobra.Command, args []string, typed string) ([]string, cobra.ShellCompDirective) {
		if len(words) == 0 {
			return nil, cobra.ShellCompDirectiveNoFileComp
		}
		word := words[min(len(args), len(words)-1)]
		switch {
		case len(args) >= len(words) && !strings.Contains(word, "..."):
			return nil, cobra.ShellCompDirectiveNoFileComp
		case strings.Contains(word, "NAME"):
			return withPrefix(partNames(), typed), cobra.ShellCompDirectiveNoFileComp
		case strings.Contains(word, "SCENE"):
			return []string{"yaml", "yml"}, cobra.ShellCompDirectiveFilterFileExt
		case strings.Contains(word, "DIR"):
			return nil, cobra.ShellCompDirectiveFilterDirs
		case strings.Contains(word, "COMMAND"):
			return withPrefix(commandNames(c.Root()), typed), cobra.ShellCompDirectiveNoFileComp
		}
		return nil, cobra.ShellCompDirectiveDefault
	}
}

// commandNames are the commands that a user is told of.
func commandNames(root *cobra.Command) []string {
	var names []string
	for _, c := range root.Commands() {
		if !c.Hidden {
			names = append(names, c.Name())
		}
	}
	return names
}

// partNames are the names of all built-in parts.
func partNames() []string {
	lib := parts.Builtin()
	names := slices.Concat(lib.ModuleNames(), lib.OpticNames(), lib.DriverNames(), lib.ProfileNames(), lib.SpectrumNames(), lib.WaterNames())
	slices.Sort(names)
	return slices.Compact(names)
}

func withPrefix(words []string, prefix string) []string {
	return slices.DeleteFunc(words, func(word string) bool { return !strings.HasPrefix(word, prefix) })
}

// catalogueOf returns the parts of the first scene among the arguments that can be read, else the built-in ones.
func catalogueOf(args []string) *parts.Catalogue {
	if sc := sceneOf(args); sc != nil {
		return sc.Catalogue
	}
	return parts.Builtin()
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
