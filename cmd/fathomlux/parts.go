package main

import (
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"os"
	"path/filepath"
	"slices"
	"strings"

	"github.com/spf13/cobra"

	"fathomlux/render/style"
	"fathomlux/scene"
	"fathomlux/scene/document"
	"fathomlux/scene/parts"
)

// partsOptions are the options of the command parts and of its child show.
type partsOptions struct {
	common
	name  string // show alone
	scene string // empty: the built-in parts alone
}

func newPartsCommand(s streams, list, show func(context.Context, streams, partsOptions) error) *cobra.Command {
	var o partsOptions
	c := &cobra.Command{
		Use:   "parts [SCENE]",
		Short: "list the parts at hand, or show one of them",
		Long: "Lists the built-in parts by kind with their key figures; with a SCENE those of the scene too. Built-in parts are\n" +
			"generic and invented. Flux, voltage and power hold at the junction temperature of the part's own table.\n\n" + exitStatusDoc,
		Example: "  fathomlux parts\n  fathomlux parts --json scene.yaml\n  fathomlux parts show round-40",
		Args:    needArgs(0, 1, "fathomlux parts scene.yaml"),
		RunE: func(c *cobra.Command, args []string) error {
			if len(args) == 1 {
				o.scene = args[0]
			}
			return list(c.Context(), s, o)
		},
	}
	c.Flags().BoolVar(&o.json, "json", false, "print one JSON document on standard output and nothing else there")
	c.AddCommand(newShowCommand(s, show))
	return c
}

func newShowCommand(s streams, run func(context.Context, streams, partsOptions) error) *cobra.Command {
	var o partsOptions
	c := &cobra.Command{
		Use:   "show NAME [SCENE]",
		Short: "print one part's figures, and draw a module's, an optic's or a spectrum's light",
		Long: "Prints the figures of the part of that name. Of an optic it draws the polar curve with beam and field angle and the\n" +
			"cone of light in air, both for 1000 lm that leave it; of a spectrum, and of a module, the power over the wavelength.\n" +
			"Beam and field angles are those of half and of tenth of the centre-beam intensity, stray light counted.\n\n" + exitStatusDoc,
		Example: "  fathomlux parts show round-40\n  fathomlux parts show my-lens scene.yaml --out pictures",
		Args:    needArgs(1, 2, "fathomlux parts show round-40"),
		RunE: func(c *cobra.Command, args []string) error {
			o.name, o.call = args[0], callText(c, args)
			if len(args) == 2 {
				o.scene = args[1]
			}
			return run(c.Context(), s, o)
		},
	}
	o.bind(c)
	o.bindFormat(c)
	c.Flags().Lookup("out").Usage = "folder for the pictures (default out/parts)"
	c.Flags().Lookup("quiet").Usage = "print the cautions alone"
	return c
}

// shelf is the parts at hand, and what opens the files that they name.
type shelf struct {
	catalogue *parts.Catalogue
	open      scene.Opener
}

// shelf returns the built-in parts, or those of the scene, which has the built-in ones too.
func (o partsOptions) shelf() (shelf, error) {
	if o.scene == "" {
		return shelf{catalogue: parts.Builtin()}, nil
	}
	sc, err := scene.Read(o.scene)
	if err != nil {
		return shelf{}, err
	}
	return shelf{catalogue: sc.Catalogue, open: sc.Open}, nil
}

func runParts(_ context.Context, s streams, o partsOptions) error {
	at, err := o.shelf()
	if err != nil {
		if _, missing := os.Stat(o.scene); errors.Is(missing, os.ErrNotExist) {
			name := "NAME"
			if _, none := (shelf{catalogue: parts.Builtin()}).find(o.scene); none == nil {
				name = o.scene
			}
			return fmt.Errorf("%w; fathomlux parts alone lists the parts, and fathomlux parts show %s shows one of them", err, name)
		}
		return err
	}
	var b strings.Builder
	if o.json {
		err = writePartsJSON(&b, at)
	} else {
		writePartsText(&b, at)
	}
	if err != nil {
		return err
	}
	_, err = io.WriteString(s.Out, b.String())
	return err
}

func writePartsJSON(w io.Writer, at shelf) error {
	all := map[string][]part{}
	for _, k := range partKinds {
		all[k.key] = []part{}
		for _, name := range k.names(at.catalogue) {
			all[k.key] = append(all[k.key], k.describe(at, name))
		}
	}
	return writeJSON(w, all)
}

func writeJSON(w io.Writer, v any) error {
	e := json.NewEncoder(w)
	e.SetIndent("", "  ")
	e.SetEscapeHTML(false)
	return e.Encode(v)
}

// writePartsText writes a block a kind and a line a part.
func writePartsText(w io.Writer, at shelf) {
	for i, k := range partKinds {
		if i > 0 {
			fmt.Fprintln(w)
		}
		fmt.Fprintln(w, k.key)
		names := k.names(at.catalogue)
		widest := 0
		for _, name := range names {
			widest = max(widest, len([]rune(name)))
		}
		for _, name := range names {
			p := k.describe(at, name)
			line := strings.Join(p.keyTexts(), ", ")
			if p.About != "" {
				line = p.About + ": " + line
			}
			fmt.Fprintf(w, "  %-*s  %s\n", widest, name, line)
		}
	}
}

func runShow(ctx context.Context, s streams, o partsOptions) error {
	at, err := o.shelf()
	if err != nil {
		return err
	}
	look, err := o.look()
	if err != nil {
		return err
	}
	found, err := at.find(o.name)
	if err != nil {
		return err
	}
	var files []style.File
	for i, k := range found {
		if k.draw == nil {
			continue
		}
		drawn, err := k.draw(ctx, at, o.name, look)
		if err != nil {
			return err
		}
		found[i].pictures = drawn
		for _, p := range drawn {
			same := func(other style.File) bool { return other.Name == p.Name } // a module and its spectrum may share a name
			if !slices.ContainsFunc(files, same) {
				files = append(files, bytesFile(p.Name, p.Data))
			}
		}
	}
	dir := o.dir("parts")
	return o.deliver(ctx, s, dir, files, func(s streams) error { return printShown(s, o, shown{at: at, kinds: found, dir: dir}) })
}

// find returns the kinds that have a part of that name.
func (at shelf) find(name string) ([]partKind, error) {
	var found []partKind
	var all []string
	for _, k := range partKinds {
		names := k.names(at.catalogue)
		if slices.Contains(names, name) {
			found = append(found, k)
		}
		all = append(all, names...)
	}
	if len(found) > 0 {
		return found, nil
	}
	if near := document.Suggest(name, all); near != "" {
		return nil, fmt.Errorf("there is no part %q; did you mean %q?", name, near)
	}
	return nil, fmt.Errorf("there is no part %.60q; fathomlux parts lists them", name)
}

// shown is what show prints about.
type shown struct {
	at    shelf
	kinds []partKind
	dir   string
}

// shownJSON is one part of the name that was asked for.
type shownJSON struct {
	Kind     string   `json:"kind"`
	Part     part     `json:"part"`
	Out      string   `json:"out"` // empty where nothing was drawn
	Pictures []string `json:"pictures"`
	Cautions []string `json:"cautions"`
}

func printShown(s streams, o partsOptions, p shown) error {
	var b strings.Builder
	list := []shownJSON{}
	for _, k := range p.kinds {
		one := shownJSON{Kind: k.noun, Part: k.describe(p.at, o.name), Pictures: []string{}, Cautions: []string{}}
		for _, picture := range k.pictures {
			one.Out, one.Pictures = filepath.ToSlash(p.dir), append(one.Pictures, picture.Name)
		}
		if k.cautions != nil {
			one.Cautions = append(one.Cautions, k.cautions(p.at, o.name)...)
		}
		list = append(list, one)
	}
	if o.json {
		if err := writeJSON(&b, map[string][]shownJSON{"parts": list}); err != nil {
			return err
		}
	} else {
		writeShown(&b, list, o.quiet)
	}
	_, err := io.WriteString(s.Out, b.String())
	return err
}

func writeShown(w io.Writer, list []shownJSON, quiet bool) {
	for _, one := range list {
		if !quiet {
			fmt.Fprintf(w, "%s %s: %s\n", one.Kind, one.Part.Name, titleOr(one.Part.About))
			widest := 0
			for _, f := range one.Part.figures {
				widest = max(widest, len(f.label))
			}
			for _, f := range one.Part.figures {
				fmt.Fprintf(w, "  %-*s  %s\n", widest, f.label, f.text)
			}
			if len(one.Pictures) > 0 {
				fmt.Fprintf(w, "wrote to %s: %s\n", one.Out, strings.Join(one.Pictures, ", "))
			}
		}
		for _, line := range one.Cautions {
			fmt.Fprintf(w, "caution: %s\n", line)
		}
	}
}
