package main

import (
	"context"
	"errors"
	"fmt"
	"io"
	"os"
	"path/filepath"
	"slices"

	"github.com/spf13/cobra"

	"fathomlux/render"
	"fathomlux/render/answer"
	"fathomlux/render/output"
	"fathomlux/scene"
	"fathomlux/scene/document"
	"fathomlux/scene/finding"
	"fathomlux/scene/parts"
	"fathomlux/scene/unit"
)

func newPartsCommand(s streams) *cobra.Command {
	var o common
	c := &cobra.Command{
		Use:   "parts [SCENE]",
		Short: "list the parts, or show one of them",
		Long: `Lists the built-in parts by kind with their key figures; with a SCENE, or a file of parts in its place,
those of the file too, after all faults and oddities of it. Built-in parts are generic and invented. Flux, voltage and
power are those at the part's test temperature.`,
		Example: "fathomlux parts\nfathomlux parts scene.yaml --json\nfathomlux parts show round-40",
	}
	c.Flags().BoolVar(&o.json, "json", false, "print one JSON document and nothing else on standard output")
	c.AddCommand(newShowCommand(s))
	return command(s, c, &o.given, func(_ context.Context, s streams) error {
		at, err := shelfOf(o.args)
		if err != nil {
			return noShelf(o.args[0], err)
		}
		return o.say(s.Out, partsAnswer(at), nil)
	})
}

func newShowCommand(s streams) *cobra.Command {
	var o showOptions
	c := &cobra.Command{
		Use:   "show NAME [SCENE]",
		Short: "print one part's figures, and draw the light of a module, an optic or a spectrum",
		Long: `Prints the figures of the part of that name. For an optic it draws the polar curve with beam and field angle
and the cone of light in air, both for 1000 lm leaving it; for a spectrum or a module, the spectral power distribution.
Beam and field angles are those at half and at a tenth of the centre-beam intensity, stray light included. With --yaml
it prints the part as a file of parts instead, whole, whatever it is based on, to be read as it is or changed.`,
		Example: "fathomlux parts show round-40\nfathomlux parts show my-lens scene.yaml --out pictures\n" +
			"fathomlux parts show quad-neutral --yaml > my-parts.yaml",
	}
	o.bind(c)
	o.bindFormat(c)
	c.Flags().Lookup("out").Usage = "folder for the pictures (default out/parts)"
	c.Flags().Lookup("quiet").Usage = "print only the cautions"
	c.Flags().BoolVar(&o.yaml, "yaml", false, "print the part as a file of parts, and draw nothing")
	return command(s, c, &o.given, func(ctx context.Context, s streams) error { return o.show(ctx, s) })
}

type showOptions struct {
	common
	yaml bool
}

// shelf is the parts at hand, and what opens the files that they name.
type shelf struct {
	catalogue *parts.Catalogue
	open      scene.Opener
	odd       []finding.Finding // warnings of a file of parts
}

// shelfOf returns the parts of the scene that the arguments name, which has the built-in ones too, or those alone.
func shelfOf(args []string) (shelf, error) {
	if len(args) == 0 {
		return shelf{catalogue: parts.Builtin()}, nil
	}
	sc, err := scene.Read(args[0])
	if err != nil {
		if lib, open, odd, is, faults := scene.ReadParts(args[0]); is {
			return shelf{catalogue: lib, open: open, odd: odd}, faults
		}
		return shelf{}, err
	}
	return shelf{catalogue: sc.Catalogue, open: sc.Open}, nil
}

// noShelf says what may have been meant by the name of a scene that is not there.
func noShelf(name string, err error) error {
	if _, missing := os.Stat(name); !errors.Is(missing, os.ErrNotExist) {
		return err
	}
	if _, none := (shelf{catalogue: parts.Builtin()}).find(name); none != nil {
		name = "NAME"
	}
	return fmt.Errorf("%w; fathomlux parts alone lists the parts, and fathomlux parts show %s shows one of them",
		err, name)
}

func partsAnswer(at shelf) (list answer.Answer) {
	list = answer.Answer{answer.Lines{Key: "warnings", Lead: "warning",
		List: finding.Lines(at.odd, finding.Note, unit.Metric)}}
	for _, k := range partKinds {
		list = append(list, answer.Lines{List: []string{k.key}, In: answer.Text}, k.table(at))
	}
	return list
}

// show prints and draws the part that the call names. A module and its spectrum may share a name, and a picture.
func (o showOptions) show(ctx context.Context, s streams) error {
	name, dir := o.args[0], o.dir("parts")
	at, err := shelfOf(o.args[1:])
	if err != nil {
		return err
	}
	look, err := o.look()
	if err != nil {
		return err
	}
	found, err := at.find(name)
	if err != nil {
		return err
	}
	if o.yaml && o.json {
		return errors.New("--yaml and --json exclude each other")
	}
	if o.yaml {
		for _, k := range found {
			if _, err := io.WriteString(s.Out, at.catalogue.Text(k.key, name)); err != nil {
				return err
			}
		}
		return nil
	}
	var files []output.File
	whole, brief := answer.Groups{Key: "parts"}, answer.Answer{}
	for _, k := range found {
		p := k.describe(at, name)
		said := answer.Lines{Key: "cautions", Lead: "caution", List: situation{scene: p.sample}.at(k.noun)}
		var pictures []render.Picture
		if p.draw != nil {
			if pictures, err = p.draw(ctx, look, said.List); err != nil {
				return err
			}
		}
		files = withMore(files, pictures...)
		whole.List = append(whole.List, k.shown(p, filepath.ToSlash(dir), pictures, said))
		brief = append(brief, said)
	}
	return o.deliver(ctx, s, dir, files, func(s streams) error { return o.say(s.Out, answer.Answer{whole}, brief) })
}

// shown is the answer about one part.
func (k partKind) shown(p part, dir string, drawn []output.File, said answer.Lines) answer.Group {
	wrote := wroteLines(dir, drawn)
	if len(drawn) == 0 {
		dir, wrote.List = "", nil
	}
	var figures answer.Answer
	for _, f := range p.figures {
		figures = append(figures, known(f.(answer.Figure).Value != nil, f.(answer.Figure)))
	}
	return answer.Group{Title: k.noun + " " + p.name + ": " + titleOr(p.about),
		Parts: append(fields("kind", k.noun, "part", append(fields("name", p.name, "about", p.about), figures...),
			"out", dir, "pictures", fileNames(drawn)), answer.Group{Parts: figures, In: answer.People}, wrote, said)}
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
	if len(found) == 0 {
		return nil, errors.New(document.Unknown("part", name, all))
	}
	return found, nil
}
