package main

import (
	"fmt"
	"net/url"
	"runtime/debug"
	"slices"
	"strings"

	"fathomlux/render/answer"
)

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

// pairs is a list of names and values.
func pairs() answer.Table { return answer.Table{Columns: keys("name", "value")} }
