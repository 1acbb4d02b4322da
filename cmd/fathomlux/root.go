package main

import (
	"errors"
	"fmt"
	"io"
	"math"
	"strconv"
	"strings"

	"github.com/spf13/cobra"
	"github.com/spf13/pflag"

	"fathomlux/scene/document"
)

// newRootCommand returns the whole command line. A new command is one line here and one file beside this one.
func newRootCommand(s streams) *cobra.Command {
	root := &cobra.Command{
		Use:   "fathomlux COMMAND",
		Short: "plan the light in a water tank",
		Long: `A scene file describes tank, water, rail and modules, and each command answers one question about it, before
anyone drills the rail.`,
		Args:          cobra.ArbitraryArgs,
		SilenceUsage:  true,
		SilenceErrors: true,
		RunE:          runRoot,
	}
	root.SetIn(s.In)
	root.SetOut(s.Out)
	root.SetErr(s.Err)
	root.CompletionOptions.DisableDefaultCmd = true
	root.SetFlagErrorFunc(flagError)
	root.SetHelpFunc(func(c *cobra.Command, _ []string) { _, _ = io.WriteString(c.OutOrStdout(), help(c)) })
	root.SetHelpCommand(newHelpCommand(root))
	root.AddCommand(
		newNewCommand(s),
		newCheckCommand(s),
		newMapCommand(s),
		newCompareCommand(s),
		newSweepCommand(s),
		newArrangeCommand(s),
		newWireCommand(s),
		newBillCommand(s),
		newHeatCommand(s),
		newDrillCommand(s),
		newLiveCommand(s),
		newMeterCommand(s),
		newReportCommand(s),
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

// runRoot is reached where no command was named, or one that does not exist.
func runRoot(c *cobra.Command, args []string) error {
	if len(args) > 0 {
		return unknownCommand(c, args[0])
	}
	c.SetOut(c.ErrOrStderr())
	if err := c.Help(); err != nil {
		return err
	}
	return errors.New("a command is missing; the list is above")
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
	c.Args, c.ValidArgsFunction = needArgs, completeArgs
	return c
}

// unknownCommand says which command may have been meant, or which there are.
func unknownCommand(root *cobra.Command, word string) error {
	names := commandNames(root)
	if near := document.Suggest(word, names); near != "" {
		return fmt.Errorf("unknown command %q; did you mean %q?", word, near)
	}
	return fmt.Errorf("unknown command %q; there are %s", word, strings.Join(names, ", "))
}

// flagError says which flag may have been meant, and where the list of them is.
func flagError(c *cobra.Command, err error) error {
	var wrong *pflag.InvalidValueError
	var number *strconv.NumError
	if errors.As(err, &wrong) && errors.As(err, &number) {
		return fmt.Errorf("--%s: %.60q is %s; see %s --help", wrong.GetFlag().Name,
			wrong.GetValue(), wantedOf(wrong.GetFlag()), c.CommandPath())
	}
	var unknown *pflag.NotExistError
	if !errors.As(err, &unknown) {
		return fmt.Errorf("%w; see %s --help", err, c.CommandPath())
	}
	var names []string
	c.Flags().VisitAll(func(f *pflag.Flag) { names = append(names, f.Name) })
	if near := document.Suggest(unknown.GetSpecifiedName(), names); near != "" {
		return fmt.Errorf("%w; did you mean --%s?", err, near)
	}
	return fmt.Errorf("%w; see %s --help", err, c.CommandPath())
}

// wantedOf says what a flag's value is not, and what it may be.
func wantedOf(f *pflag.Flag) string {
	switch f.Value.Type() {
	case "uint64":
		return fmt.Sprintf("no whole number from 0 to %d", uint64(math.MaxUint64))
	case "int", "int64":
		return "no whole number that serves; write it in digits, such as 20000"
	case "float64":
		return "no number; write it in digits, such as 1.5"
	}
	return "neither true nor false"
}
