package main

import (
	"cmp"
	"context"
	"errors"
	"fmt"
	"io"
	"math"
	"path/filepath"
	"slices"
	"strings"
	"unicode/utf8"

	"github.com/spf13/cobra"
	"github.com/spf13/pflag"

	"fathomlux/scene/document"
)

// given is what a call holds beside its flags.
type given struct {
	args  []string
	flags []string // that decide the answer, as --name=value in the order of their names
	call  string   // as it stands in the notes of pictures: see callText
}

// scene is the argument that names the scene's file, the first one.
func (g given) scene() string { return g.args[0] }

// command lets a command of the table run: its options learn what the call holds, and then run has them.
func command(s streams, c *cobra.Command, options *given, run func(context.Context, streams) error) *cobra.Command {
	c.RunE = func(c *cobra.Command, args []string) error {
		*options = given{args, decidingFlags(c), callText(c, args)}
		return run(c.Context(), s)
	}
	return c
}

// silentFlags change nothing that stands in an answer, so that they are no part of its call.
var silentFlags = []string{"out", "workers", "json", "quiet", "share", "emit"}

// callText is a call without the names of folders, and with the flags in the order of their names.
func callText(c *cobra.Command, args []string) string {
	words := []string{c.CommandPath()}
	for _, a := range args {
		words = append(words, filepath.Base(a))
	}
	for _, f := range decidingFlags(c) {
		name, value, _ := strings.Cut(f, "=")
		words = append(words, name+"="+shellWord(value))
	}
	return strings.Join(words, " ")
}

// decidingFlags are the flags of a call but for the silent ones.
func decidingFlags(c *cobra.Command) (words []string) {
	c.Flags().Visit(func(f *pflag.Flag) {
		if slices.Contains(silentFlags, f.Name) {
			return
		}
		values := []string{f.Value.String()}
		if list, ok := f.Value.(pflag.SliceValue); ok {
			values = list.GetSlice()
		}
		for _, v := range values {
			words = append(words, "--"+f.Name+"="+v)
		}
	})
	return words
}

// shellWord puts a word in quotes where a shell would take it apart.
func shellWord(word string) string {
	const plain = "abcdefghijklmnopqrstuvwxyzABCDEFGHIJKLMNOPQRSTUVWXYZ0123456789-_.,:=%/+"
	if word != "" && strings.Trim(word, plain) == "" {
		return word
	}
	return "'" + strings.ReplaceAll(word, "'", `'\''`) + "'"
}

// allCommands returns a command and all below it that a user is told of, in their order.
func allCommands(c *cobra.Command) []*cobra.Command {
	all := []*cobra.Command{c}
	for _, child := range c.Commands() {
		if !child.Hidden {
			all = append(all, allCommands(child)...)
		}
	}
	return all
}

// commandNames are the names of the commands below root that a user is told of.
func commandNames(root *cobra.Command) (names []string) {
	for _, c := range root.Commands() {
		if !c.Hidden {
			names = append(names, c.Name())
		}
	}
	return names
}

// placesOf are the arguments of a command by its use: "show NAME [SCENE]" has NAME and [SCENE].
func placesOf(c *cobra.Command) (places []string) {
	for _, word := range strings.Fields(c.Use)[1:] {
		if strings.HasPrefix(strings.TrimPrefix(word, "["), "-") {
			break
		}
		places = append(places, word)
	}
	return places
}

// needArgs refuses fewer or more arguments than the command's use has, with the first of its examples.
func needArgs(c *cobra.Command, args []string) error {
	least, most := 0, 0
	for _, place := range placesOf(c) {
		if !strings.HasPrefix(place, "[") {
			least++
		}
		if most++; strings.Contains(place, "...") {
			most = len(args)
		}
	}
	if len(args) < least {
		return fmt.Errorf("an argument is missing; for example: %s", firstExample(c))
	}
	if len(args) > most {
		return fmt.Errorf("%q is one argument too many; for example: %s", args[most], firstExample(c))
	}
	return nil
}

// firstExample is a right call of a command.
func firstExample(c *cobra.Command) string {
	first, _, _ := strings.Cut(strings.TrimSpace(c.Example), "\n")
	return cmp.Or(first, c.CommandPath())
}

// helpWidth is how wide help is, in letters: a terminal that is told nothing has 80.
const helpWidth = 80

// help is the page of a command: what it is for, how to call it, what it does, and how it ends.
func help(c *cobra.Command) string {
	c.InitDefaultHelpFlag()
	var b strings.Builder
	fmt.Fprintf(&b, "%s - %s\n\n  %s\n\n%s", c.CommandPath(), c.Short, c.UseLine(), filled(c.Long, helpWidth))
	if c.HasAvailableSubCommands() {
		b.WriteString("\nCommands:\n")
	}
	for _, child := range c.Commands() {
		if child.IsAvailableCommand() || child.IsAdditionalHelpTopicCommand() {
			fmt.Fprintf(&b, "  %-*s  %s\n", c.NamePadding(), child.Name(), child.Short)
		}
	}
	if c.Example != "" {
		b.WriteString("\nExamples:\n" + indented(c.Example))
	}
	if flags := c.LocalFlags(); flags.HasAvailableFlags() {
		b.WriteString("\nFlags:\n" + flags.FlagUsagesWrapped(helpWidth))
	}
	b.WriteString("\nExit status:\n" + indented(exitStatusText(c)))
	return b.String()
}

// indented sets each line of a text in.
func indented(text string) string {
	var b strings.Builder
	for line := range strings.Lines(strings.TrimSpace(text)) {
		b.WriteString("  " + strings.TrimSpace(line) + "\n")
	}
	return b.String()
}

// exitStatusText says how a command ends, a line a status.
func exitStatusText(c *cobra.Command) string {
	goal := ""
	if !c.HasParent() || c.Flags().Lookup("require-goal") != nil {
		goal = "1  the goal is not met, and --require-goal was given\n"
	}
	return "0  done\n" + goal +
		"2  the scene, a file or the command line is wrong and nothing was written, or Ctrl-C ended it\n" +
		"3  a fault of the program itself ended it; the message names a file to send"
}

// filled breaks the lines of a text anew, to at most width letters. Lines that begin with a space stand as they are,
// and an empty line ends a paragraph.
func filled(text string, width int) string {
	var lines []string
	goesOn := false
	for line := range strings.Lines(strings.TrimSpace(text)) {
		words := strings.Fields(line)
		if len(words) == 0 || line[0] == ' ' {
			lines, words, goesOn = append(lines, strings.TrimRight(line, " \n")), nil, false
		}
		for _, word := range words {
			last := len(lines) - 1
			if goesOn && utf8.RuneCountInString(lines[last]+word) < width {
				lines[last] += " " + word
			} else {
				lines = append(lines, word)
			}
			goesOn = true
		}
	}
	return strings.Join(lines, "\n") + "\n"
}

// newRootCommand returns the whole command line. A new command is one line here and one file beside this one.
func newRootCommand(s streams) *cobra.Command {
	root := &cobra.Command{
		Use:   "fathomlux [COMMAND]",
		Short: "plan the light in a water tank",
		Long: `Without a command a page opens in the browser, on which all begins: a new tank, or a scene of this folder.

A scene file describes the tank, its water, the rails and the LED modules. Each command answers one question about it,
before a rail is drilled.`,
		Args:          cobra.ArbitraryArgs,
		SilenceUsage:  true,
		SilenceErrors: true,
	}
	opensPage(root, s)
	root.SetIn(s.In)
	root.SetOut(s.Out)
	root.SetErr(s.Err)
	root.CompletionOptions.DisableDefaultCmd = true
	root.SetFlagErrorFunc(flagError)
	root.SetHelpFunc(func(c *cobra.Command, _ []string) { _, _ = io.WriteString(c.OutOrStdout(), help(c)) })
	root.SetHelpCommand(newHelpCommand(root))
	root.AddCommand(
		newNewCommand(s),
		newNewPartCommand(s),
		newCheckCommand(s),
		alone(proposeCommand(s)),
		newMapCommand(s),
		newCompareCommand(s),
		newSweepCommand(s),
		alone(arrangeCommand(s)),
		newWireCommand(s),
		newBillCommand(s),
		newHeatCommand(s),
		newViewCommand(s),
		newDayCommand(s),
		newShimmerCommand(s),
		newDrillCommand(s),
		newLiveCommand(s),
		newMeterCommand(s),
		alone(reportCommand(s)),
		newJoinCommand(s),
		newPartsCommand(s),
		newSchemaCommand(s),
		newCompletionCommand(s),
		newManCommand(s),
		newVersionCommand(s),
		newLimitsTopic(),
	)
	for _, c := range allCommands(root)[1:] {
		if c.Runnable() {
			c.Args = needArgs
		}
	}
	addCompletions(root)
	return root
}

// alone is a command without its options.
func alone[O any](c *cobra.Command, _ O) *cobra.Command { return c }

// opensPage lets the root, without a command, open the page in the browser.
func opensPage(root *cobra.Command, s streams) {
	page := &liveOptions{}
	page.bind(root)
	root.Flags().BoolVar(&page.noBrowser, "no-browser", false, "only print the address of the page")
	root.RunE = func(c *cobra.Command, args []string) error {
		if len(args) > 0 {
			return unknownCommand(c, args[0])
		}
		return page.run(c.Context(), s)
	}
}

// newHelpCommand returns "fathomlux help COMMAND", which unlike cobra's own fails for a command that does not exist.
func newHelpCommand(root *cobra.Command) *cobra.Command {
	c := &cobra.Command{
		Use:   "help [COMMAND...]",
		Short: "show what a command does",
		Long:  "Shows what a command does, with its flags.",
		RunE: func(_ *cobra.Command, args []string) error {
			target := root
			if len(args) > 0 {
				if target, _, _ = root.Find(args); target == root {
					return unknownCommand(root, args[0])
				}
			}
			return target.Help()
		},
	}
	c.Args, c.ValidArgsFunction = needArgs, complete(func([]string) string { return "COMMAND" })
	return c
}

// unknownCommand says which command may have been meant, or which there are.
func unknownCommand(root *cobra.Command, word string) error {
	names := commandNames(root)
	if near := document.Suggest(word, names); near != "" {
		return fmt.Errorf("unknown command %q; did you mean %q?", word, near)
	}
	return fmt.Errorf("unknown command %q; known: %s", word, strings.Join(names, ", "))
}

// flagError says what a flag's value is not, or which flag may have been meant, and where the list of them is.
func flagError(c *cobra.Command, err error) error {
	cure := "see " + c.CommandPath() + " --help"
	if wrong, is := errors.AsType[*pflag.InvalidValueError](err); is {
		if c, is := wrong.GetFlag().Value.(choice); is {
			return oneOf("--"+wrong.GetFlag().Name, wrong.GetValue(), c.words...)
		}
		kind := map[string]string{"uint64": fmt.Sprintf("not a whole number from 0 to %d", uint64(math.MaxUint64)),
			"bool": "neither true nor false", "float64": "not a number; write it in digits, such as 1.5"}
		return fmt.Errorf("--%s: %.60q is %s; %s", wrong.GetFlag().Name, wrong.GetValue(),
			cmp.Or(kind[wrong.GetFlag().Value.Type()], "not a usable whole number; write it in digits, such as 20000"), cure)
	}
	if unknown, is := errors.AsType[*pflag.NotExistError](err); is {
		var names []string
		c.Flags().VisitAll(func(f *pflag.Flag) { names = append(names, f.Name) })
		if near := document.Suggest(unknown.GetSpecifiedName(), names); near != "" {
			cure = "did you mean --" + near + "?"
		}
	}
	return fmt.Errorf("%w; %s", err, cure)
}
