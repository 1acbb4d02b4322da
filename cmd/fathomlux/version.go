package main

import (
	"context"
	_ "embed"
	"errors"
	"fmt"
	"io"
	"net/url"
	"regexp"
	"runtime"
	"runtime/debug"
	"slices"
	"strings"

	"github.com/spf13/cobra"

	"fathomlux/render/answer"
)

// sourceVersion is the version that a build from a source tree bears, where no release tag was stamped into it.
const sourceVersion = "0.1.0"

// notices holds the licences of everything that is linked into the program.
//
//go:embed notices.txt
var notices string

func newVersionCommand(s streams) *cobra.Command {
	var o given
	var modules, licences, materials bool
	c := &cobra.Command{
		Use:   "version",
		Short: "show the version, the linked modules and their licences",
		Long: `Shows the versions of fathomlux and of the Go toolchain that built it, and on request the modules that are
linked into it and their licences.`,
		Example: "fathomlux version",
	}
	f := c.Flags()
	f.BoolVar(&modules, "modules", false, "list the modules linked in, with their versions")
	f.BoolVar(&licences, "licences", false, "print the licences of all that is linked in")
	f.BoolVar(&materials, "sbom", false, "print only a bill of materials (CycloneDX 1.6, JSON)")
	return command(s, c, &o, func(_ context.Context, s streams) error {
		info := buildInfo()
		if materials && (modules || licences) {
			return errors.New("--sbom prints one document and nothing else; remove --modules and --licences")
		}
		if materials {
			return answer.WriteJSON(s.Out, sbom(info))
		}
		var b strings.Builder
		fmt.Fprintf(&b, "fathomlux %s (%s %s/%s)\n", programVersion(), runtime.Version(), runtime.GOOS, runtime.GOARCH)
		for _, m := range info.Deps {
			if m.Replace != nil {
				m = m.Replace
			}
			if modules {
				fmt.Fprintf(&b, "%s %s\n", m.Path, m.Version)
			}
		}
		if licences {
			b.WriteString("\n" + notices)
		}
		_, err := io.WriteString(s.Out, b.String())
		return err
	})
}

// programVersion is the version that answers and pictures bear.
func programVersion() string { return versionFrom(buildInfo()) }

// readBuildInfo reads what the linker stamped into this program; see release.go.
var readBuildInfo = debug.ReadBuildInfo

// buildInfo returns what the linker stamped into this program, empty where it stamped nothing.
func buildInfo() *debug.BuildInfo {
	info, ok := readBuildInfo()
	if !ok {
		return &debug.BuildInfo{}
	}
	return info
}

// between matches what Go makes up for a commit without a tag of its own, of the tag before it and a date: a
// pseudo-version (Go Modules Reference, "Pseudo-versions").
var between = regexp.MustCompile(`[-.](0\.)?[0-9]{14}-[0-9a-f]{12}`)

// versionFrom returns the release tag of a build without its "v", or sourceVersion for a build from a source tree:
// Go stamps those "(devel)", nothing, or a version that would change with every commit.
func versionFrom(info *debug.BuildInfo) string {
	v := info.Main.Version
	if v == "" || v == "(devel)" || between.MatchString(v) || strings.Contains(v, "+dirty") {
		return sourceVersion
	}
	return strings.TrimPrefix(v, "v")
}

// buildSettings are the settings of a build that its bytes depend on.
var buildSettings = []string{"GOOS", "GOARCH", "GOAMD64", "GOARM64", "CGO_ENABLED", "-trimpath",
	"vcs.revision", "vcs.modified"}

// sbom is what a build is made of, as a bill of materials in the form of CycloneDX 1.6: the modules linked in with
// their checksums, and the standard library. Source: ECMA-424, 1st ed. 2024. It has neither a serial number nor a date,
// so that the same build prints the same bytes.
func sbom(info *debug.BuildInfo) answer.Answer {
	program := sbomItem("application", "fathomlux", versionFrom(info), "")
	list := [][]any{sbomItem("library", "std", strings.TrimPrefix(info.GoVersion, "go"), "")}
	for _, m := range info.Deps {
		if m.Replace != nil {
			m = m.Replace
		}
		list = append(list, sbomItem("library", m.Path, m.Version, m.Sum))
	}
	settings := pairs()
	for _, s := range info.Settings {
		if slices.Contains(buildSettings, s.Key) {
			settings.Rows = append(settings.Rows, []any{"build:" + s.Key, s.Value})
		}
	}
	refs := make([]string, len(list))
	for i, item := range list {
		refs[i] = item[1].(string)
	}
	return fields("bomFormat", "CycloneDX", "specVersion", "1.6", "version", 1,
		"metadata", fields("component", fields("type", program[0], "bom-ref", program[1], "name", program[2],
			"version", program[3], "purl", program[4]), "properties", settings),
		"components", answer.Table{Columns: keys("type", "bom-ref", "name", "version", "purl", "properties"), Rows: list},
		"dependencies", answer.Table{Columns: keys("ref", "dependsOn"), Rows: [][]any{{program[1], refs}}})
}

// sbomItem is the program, the standard library or a module. Its package URL follows the type golang: path and version,
// with signs that a URL gives a meaning escaped. Go's own checksum of a module's tree is no hash of a file, so that it
// may not stand among hashes.
func sbomItem(kind, path, version, sum string) []any {
	purl := fmt.Sprintf("pkg:golang/%s@%s", path, strings.ReplaceAll(url.PathEscape(version), "+", "%2B"))
	properties := pairs()
	if sum != "" {
		properties.Rows = [][]any{{"go:sum", sum}}
	}
	return []any{kind, purl, path, version, purl, properties}
}

func pairs() answer.Table { return answer.Table{Columns: keys("name", "value")} }
