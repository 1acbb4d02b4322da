package main

import (
	"context"
	_ "embed"
	"errors"
	"fmt"
	"io"
	"runtime"
	"runtime/debug"
	"strings"

	"github.com/spf13/cobra"
)

// sourceVersion is the version that a build from a source tree bears, where no release tag was stamped into it.
const sourceVersion = "0.1.0"

// notices holds the licences of everything that is linked into the program.
//
//go:embed notices.txt
var notices string

// versionOptions are the options of the command version.
type versionOptions struct{ modules, licences, sbom bool }

func newVersionCommand(s streams, run func(context.Context, streams, versionOptions) error) *cobra.Command {
	var o versionOptions
	c := &cobra.Command{
		Use:   "version",
		Short: "show the version, the modules linked in, and their licences",
		Long: "Shows the version of fathomlux and of the Go it was built with, and where asked the modules that are\n" +
			"linked into it and their licences.",
		RunE: func(c *cobra.Command, _ []string) error { return run(c.Context(), s, o) },
	}
	c.Flags().BoolVar(&o.modules, "modules", false, "list the modules linked in, with their versions")
	c.Flags().BoolVar(&o.licences, "licences", false, "print the licences of all that is linked in")
	c.Flags().BoolVar(&o.sbom, "sbom", false, "print a bill of materials (CycloneDX 1.6, JSON) and nothing else")
	return c
}

func runVersion(_ context.Context, s streams, o versionOptions) error {
	if o.sbom {
		if o.modules || o.licences {
			return errors.New("--sbom prints one document and nothing else; take out --modules and --licences")
		}
		return writeSBOM(s.Out, buildInfo())
	}
	var b strings.Builder
	fmt.Fprintf(&b, "fathomlux %s (%s %s/%s)\n", programVersion(), runtime.Version(), runtime.GOOS, runtime.GOARCH)
	if o.modules {
		writeModules(&b, buildInfo())
	}
	if o.licences {
		b.WriteString("\n")
		b.WriteString(notices)
	}
	_, err := io.WriteString(s.Out, b.String())
	return err
}

// writeModules lists the modules of a build, one a line, in the order of the build information (by path).
func writeModules(w io.Writer, info *debug.BuildInfo) {
	for _, m := range info.Deps {
		if m.Replace != nil {
			m = m.Replace
		}
		fmt.Fprintf(w, "%s %s\n", m.Path, m.Version)
	}
}

// programVersion is the version that answers and pictures bear.
func programVersion() string { return versionFrom(buildInfo()) }

// buildInfo returns what the linker stamped into this program, empty where it stamped nothing.
func buildInfo() *debug.BuildInfo {
	info, ok := debug.ReadBuildInfo()
	if !ok {
		return &debug.BuildInfo{}
	}
	return info
}

// versionFrom returns the release tag of a build without its "v", or sourceVersion for a build from a source tree:
// Go stamps those "(devel)", nothing, or a made-up v0.0.0 with a date, which would change with every commit.
func versionFrom(info *debug.BuildInfo) string {
	v := info.Main.Version
	if v == "" || v == "(devel)" || strings.HasPrefix(v, "v0.0.0-") || strings.Contains(v, "+dirty") {
		return sourceVersion
	}
	return strings.TrimPrefix(v, "v")
}
