package main

import (
	"encoding/json"
	"fmt"
	"io"
	"net/url"
	"runtime/debug"
	"strings"
)

// sbom is a bill of materials in the form of CycloneDX 1.6, as far as it is filled here. Source: ECMA-424, 1st ed. 2024. It has
// neither a serial number nor a date, so that the same build prints the same bytes.
type sbom struct {
	Format       string         `json:"bomFormat"`
	Spec         string         `json:"specVersion"`
	Version      int            `json:"version"`
	Metadata     sbomMetadata   `json:"metadata"`
	Components   []sbomItem     `json:"components"`
	Dependencies []sbomRelation `json:"dependencies"`
}

type sbomMetadata struct {
	Component  sbomItem       `json:"component"`
	Properties []sbomProperty `json:"properties"`
}

// sbomItem is the program, the standard library or a module.
type sbomItem struct {
	Type       string         `json:"type"`
	Ref        string         `json:"bom-ref"`
	Name       string         `json:"name"`
	Version    string         `json:"version"`
	PURL       string         `json:"purl"`
	Properties []sbomProperty `json:"properties,omitempty"`
}

type sbomProperty struct {
	Name  string `json:"name"`
	Value string `json:"value"`
}

// sbomRelation says what an item is linked with.
type sbomRelation struct {
	Ref       string   `json:"ref"`
	DependsOn []string `json:"dependsOn"`
}

// buildSettings are the settings of a build that its bytes hang on.
var buildSettings = []string{"GOOS", "GOARCH", "GOAMD64", "GOARM64", "CGO_ENABLED", "-trimpath", "vcs.revision", "vcs.modified"}

// writeSBOM prints what a build is made of: the modules linked in with their checksums, and the standard library.
func writeSBOM(w io.Writer, info *debug.BuildInfo) error {
	program := sbomOf("application", "fathomlux", versionFrom(info))
	out := sbom{Format: "CycloneDX", Spec: "1.6", Version: 1, Metadata: sbomMetadata{Component: program, Properties: []sbomProperty{}}}
	for _, name := range buildSettings {
		for _, s := range info.Settings {
			if s.Key == name {
				out.Metadata.Properties = append(out.Metadata.Properties, sbomProperty{Name: "build:" + name, Value: s.Value})
			}
		}
	}
	out.Components = []sbomItem{sbomOf("library", "std", strings.TrimPrefix(info.GoVersion, "go"))}
	for _, m := range info.Deps {
		if m.Replace != nil {
			m = m.Replace
		}
		one := sbomOf("library", m.Path, m.Version)
		if m.Sum != "" { // Go's own checksum over a module's tree: no hash of a file, so it may not stand among hashes
			one.Properties = []sbomProperty{{Name: "go:sum", Value: m.Sum}}
		}
		out.Components = append(out.Components, one)
	}
	relation := sbomRelation{Ref: program.Ref}
	for _, c := range out.Components {
		relation.DependsOn = append(relation.DependsOn, c.Ref)
	}
	out.Dependencies = []sbomRelation{relation}
	e := json.NewEncoder(w)
	e.SetIndent("", "  ")
	e.SetEscapeHTML(false)
	return e.Encode(out)
}

// sbomOf names an item. Its package URL follows the type golang: path and version, with signs that a URL gives a meaning escaped.
func sbomOf(kind, path, version string) sbomItem {
	purl := fmt.Sprintf("pkg:golang/%s@%s", path, strings.ReplaceAll(url.PathEscape(version), "+", "%2B"))
	return sbomItem{Type: kind, Ref: purl, Name: path, Version: version, PURL: purl}
}
