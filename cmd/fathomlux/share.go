package main

import (
	"context"
	"fmt"
	"iter"
	"strconv"
	"strings"

	"github.com/spf13/cobra"

	"fathomlux/optics/parallel"
	"fathomlux/render/answer"
	"fathomlux/render/output"
	"fathomlux/scene"
	"fathomlux/scene/share"
)

// shareOptions are those of the commands whose work can be divided among machines. Such a command asks sharing which
// part it computes, hands that over with handShare, and in place of computing takes what joined gives, where that is
// not nil; its scene comes from readScene.
type shareOptions struct{ share string }

func (o *shareOptions) bind(c *cobra.Command) {
	c.Flags().StringVar(&o.share, "share", "",
		"compute one part alone, such as 3/16, and write it as a file for the command join")
}

// sharing is the part to compute, the zero Share for all.
func (o shareOptions) sharing() (parallel.Share, error) {
	if o.share == "" {
		return parallel.Share{}, nil
	}
	part, of, _ := strings.Cut(o.share, "/")
	p, err := strconv.Atoi(strings.TrimSpace(part))
	n, errOf := strconv.Atoi(strings.TrimSpace(of))
	switch {
	case err != nil || errOf != nil:
		return parallel.Share{}, fmt.Errorf("--share: %.20q is no part of a whole; write it as 3/16, the third of 16",
			o.share)
	case n < 1 || n > share.MaxParts:
		return parallel.Share{}, fmt.Errorf("--share: %d parts are not between 1 and %d", n, share.MaxParts)
	case p < 1 || p > n:
		return parallel.Share{}, fmt.Errorf("--share: part %d is not between 1 and %d", p, n)
	}
	return parallel.Share{Part: p, Of: n}, nil
}

// partEnding is the ending of the files of parts.
const partEnding = "part"

// handShare writes the results of one part as a file, whole or not at all, and says so.
func handShare[R any](ctx context.Context, s streams, o common, sc *scene.Scene, one parallel.Share,
	results []R) error {
	command := strings.Fields(o.call)[1]
	h := share.Head{Version: programVersion(), Call: o.call,
		Words: strings.Join(append([]string{command}, o.flags...), "\n"),
		Part:  one.Part, Of: one.Of}
	h.Put(sc)
	data, err := share.Write(h, results)
	if err != nil {
		return err
	}
	dir, name := o.dir(sc.File), fmt.Sprintf("%s-%d-of-%d.%s", command, one.Part, one.Of, partEnding)
	said := answer.Answer{fields("scene", sc.File, "out", dir, "part", one.Part, "of", one.Of, "file", name),
		answer.Lines{List: []string{fmt.Sprintf("part %d of %d, to be joined with the others: fathomlux join",
			one.Part, one.Of)},
			In: answer.People}}
	files := []output.File{{Name: name, Data: data}}
	return o.deliver(ctx, s, dir, files, func(s streams) error {
		return o.say(s.Out, append(said, wroteLines(dir, files)), said)
	})
}

type joinKey struct{}

// parted are the parts that the command join has in hand, nil in a command that a user has called.
func parted(ctx context.Context) []*share.Part {
	parts, _ := ctx.Value(joinKey{}).([]*share.Part)
	return parts
}

// joined are the results of all parts, nil where the command is to compute.
func joined[R any](ctx context.Context) iter.Seq2[R, error] {
	if parts := parted(ctx); parts != nil {
		return share.Results[R](parts)
	}
	return nil
}

// readScene reads a command's scene: from its file, or from the parts that are joined.
func readScene(ctx context.Context, file string) (*scene.Scene, error) {
	if parts := parted(ctx); parts != nil {
		return parts[0].Read()
	}
	return scene.Read(file)
}

// readUnlit is readScene of a scene that need not have rails yet, as scene.ReadUnlit.
func readUnlit(ctx context.Context, file string) (sc *scene.Scene, bare bool, err error) {
	if parted(ctx) != nil { // their scene has rails, or was given some
		sc, err = readScene(ctx, file)
		return sc, false, err
	}
	return scene.ReadUnlit(file)
}

func newJoinCommand(s streams) *cobra.Command {
	var o common
	c := &cobra.Command{
		Use:   "join PART...",
		Short: "make one answer from the parts that several machines have computed",
		Long: `Puts together what map, sweep and propose have computed with --share, each part on a machine of its own or one
after another. The answer, its files and the exit status are those of the same call without --share, to the last byte.
Parts hold the scene and all that it names; nothing else is needed.

All parts must be of one study and computed by one version of the program. Parts that are missing, of another study or
cut off are named, and nothing is written.`,
		Example: "fathomlux join out/scene/*.part\nfathomlux join part-1 part-2 part-3 --out whole --json",
	}
	o.bindOut(c)
	bindWorkers(c, &o.workers)
	return command(s, c, &o.given, o.join)
}

// join runs the command whose parts these are, with their results in place of its computation.
func (o *common) join(ctx context.Context, s streams) error {
	parts, err := share.Open(o.args, programVersion())
	if err != nil {
		return err
	}
	args := strings.Split(parts[0].Words, "\n")
	if o.out != "" {
		args = append(args, "--out="+o.out)
	}
	args = append(args, fmt.Sprintf("--workers=%d", o.workers), fmt.Sprintf("--json=%t", o.json),
		fmt.Sprintf("--quiet=%t", o.quiet), "--", parts[0].SceneFile)
	return execute(context.WithValue(ctx, joinKey{}, parts), s, args)
}
