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

	"fathomlux/render/answer"
	"fathomlux/render/output"
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
		Long: "Lists the built-in parts by kind with their key figures; with a SCENE those of the scene too. " +
			"Built-in parts are\n" +
			"generic and invented. Flux, voltage and power hold at the junction temperature of the part's own " +
			"table.",
		Example: "  fathomlux parts\n  fathomlux parts --json scene.yaml\n  fathomlux parts show round-40",
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
		Long: "Prints the figures of the part of that name. Of an optic it draws the polar curve with beam and " +
			"field angle and the\n" +
			"cone of light in air, both for 1000 lm that leave it; of a spectrum, and of a module, the power over " +
			"the wavelength.\n" +
			"Beam and field angles are those of half and of tenth of the centre-beam intensity, stray light " +
			"counted.",
		Example: "  fathomlux parts show round-40\n  fathomlux parts show my-lens scene.yaml --out pictures",
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
			return fmt.Errorf("%w; fathomlux parts alone lists the parts, and fathomlux parts show %s shows one "+
				"of them", err, name)
		}
		return err
	}
	return o.say(s.Out, partsAnswer(at), nil)
}

// partsAnswer lists all parts by kind.
func partsAnswer(at shelf) (list answer.Answer) {
	for _, k := range partKinds {
		all, lines := answer.Groups{Key: k.key, In: answer.JSON}, answer.Group{Title: k.key, In: answer.Text}
		for _, name := range k.names(at.catalogue) {
			p := k.describe(at, name)
			all.List = append(all.List, answer.Group{Parts: p.fields()})
			lines.Parts = append(lines.Parts, answer.Figure{Title: name, Value: p.line()})
		}
		list = append(list, all, lines)
	}
	return list
}

func writeJSON(w io.Writer, v any) error {
	e := json.NewEncoder(w)
	e.SetIndent("", "  ")
	e.SetEscapeHTML(false)
	return e.Encode(v)
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
	var files []output.File
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
			// a module and its spectrum may share a name
			same := func(other output.File) bool { return other.Name == p.Name }
			if !slices.ContainsFunc(files, same) {
				files = append(files, bytesFile(p.Name, p.Data))
			}
		}
	}
	dir := o.dir("parts")
	return o.deliver(ctx, s, dir, files, func(s streams) error {
		return o.say(s.Out, o.shown(at, found, dir, false), o.shown(at, found, dir, true))
	})
}

// shown is the answer about all parts of one name; brief leaves the cautions alone.
func (o partsOptions) shown(at shelf, kinds []partKind, dir string, brief bool) answer.Answer {
	list := answer.Groups{Key: "parts"}
	for _, k := range kinds {
		p, out := k.describe(at, o.name), ""
		var names, wrote, cautions []string
		for _, picture := range k.pictures {
			out, names = filepath.ToSlash(dir), append(names, picture.Name)
			wrote = []string{"wrote to " + out + ": " + strings.Join(names, ", ")}
		}
		if k.cautions != nil {
			cautions = k.cautions(at, o.name)
		}
		said := answer.Lines{Key: "cautions", Lead: "caution", List: cautions}
		if brief {
			list.List = append(list.List, answer.Group{Parts: answer.Answer{said}})
			continue
		}
		parts := append(fields("kind", k.noun, "part", p.fields(), "out", out), p.titled()...)
		parts = append(parts, answer.Lines{Key: "pictures", List: names, In: answer.JSON}, answer.Lines{List: wrote,
			In: answer.Text}, said)
		list.List = append(list.List, answer.Group{Title: k.noun + " " + p.Name + ": " + titleOr(p.About),
			Parts: parts})
	}
	return answer.Answer{list}
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
