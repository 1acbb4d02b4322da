package main

import (
	"cmp"
	"context"
	"crypto/rand"
	"crypto/sha256"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"log"
	"net"
	"net/http"
	"os"
	"path/filepath"
	"slices"
	"strconv"
	"strings"
	"syscall"
	"time"
	"unicode"

	"github.com/spf13/cobra"

	"fathomlux/optics"
	"fathomlux/render/live"
	"fathomlux/render/output"
	"fathomlux/scene"
	"fathomlux/scene/document"
	"fathomlux/scene/edit"
	"fathomlux/scene/finding"
	"fathomlux/scene/unit"
)

type liveOptions struct {
	given
	port    int
	step    string
	workers int
	cold    bool
}

func newLiveCommand(s streams) *cobra.Command {
	var o liveOptions
	c := &cobra.Command{
		Use:   "live SCENE",
		Short: "open a page in the browser to try changes by hand",
		Long: `Serves a page to a browser on this machine, with sliders for spacing, count, optic, beam angle, current,
height, tilt and water, and modules that can be dragged along their rail. The plan of the goal's plane, a slice along
the tank and the figures follow as they move. A setting can be saved as a new scene file beside the scene, and the
report of the scene opens from the page.

The printed address holds a token, without which nobody can use the page; other machines cannot reach it at all.
Ctrl-C ends it.

The page shows the light that the command map computes.`,
		Example: "fathomlux live scene.yaml\nfathomlux live scene.yaml --port 8080 --step \"5 mm\"",
	}
	f := c.Flags()
	f.IntVar(&o.port, "port", 0, "port to serve the page on; 0 picks a free one")
	f.StringVar(&o.step, "step", "", "cell size of the plane, such as \"10 mm\" (default about 6000 cells)")
	f.IntVar(&o.workers, "workers", 0, "parallel workers (default one per core); no effect on results")
	bindRatedFlux(c, &o.cold)
	return command(s, c, &o.given, o.run)
}

func (o *liveOptions) run(ctx context.Context, s streams) error {
	seen := lookAt(o.scene())
	sc, err := scene.Read(o.scene())
	if err != nil {
		return err
	}
	if err := cmp.Or(inRange("--port", o.port, 0, 65535), inRange("--workers", o.workers, 0, maxWorkers)); err != nil {
		return err
	}
	onInterrupt(ctx).usual.Store(true)
	listener, err := listenAt(o.port)
	if err != nil {
		return err
	}
	port := listener.Addr().(*net.TCPAddr).Port
	defer listener.Close()
	token := rand.Text()
	h := live.New(o.config(token, port))
	if err := h.Show(sc); err != nil {
		return err
	}
	if _, err := fmt.Fprintf(s.Out, "http://127.0.0.1:%d/%s/\n", port, token); err != nil {
		return err // nobody knows the address
	}
	fmt.Fprintln(s.Err, "open this address in a browser on this machine; Ctrl-C ends it")
	go o.watch(ctx, s, h, seen)
	return serve(ctx, listener, h)
}

// listenAt takes a port of this machine, a free one where it is 0.
func listenAt(port int) (net.Listener, error) {
	listener, err := net.Listen("tcp", net.JoinHostPort("127.0.0.1", strconv.Itoa(port)))
	if err == nil {
		return listener, nil
	}
	if errors.Is(err, syscall.EADDRINUSE) {
		return nil, fmt.Errorf("--port: port %d is taken by another program; --port 0 takes a free one", port)
	}
	return nil, fmt.Errorf("--port: port %d is not available (%w); --port 0 takes a free one", port, err)
}

func (o liveOptions) config(token string, port int) live.Config {
	return live.Config{
		Token:  token,
		Hosts:  []string{fmt.Sprintf("127.0.0.1:%d", port), fmt.Sprintf("localhost:%d", port)},
		Name:   freeSceneName(o.scene()),
		Open:   o.glance,
		Check:  checkDraft,
		Save:   func(d live.Draft) (string, error) { return saveDraft(o.scene(), d) },
		Sheet:  o.sheet,
		Report: o.report,
	}
}

func (o liveOptions) glance(sc *scene.Scene) (live.Glance, error) {
	request := optics.LightOptions{Workers: common{workers: o.workers}.cores(), Cold: o.cold}
	var err error
	if request.StepM, err = parseStep(o.step, sc.Tank); err != nil {
		return nil, err
	}
	session, err := optics.NewSession(sc, request)
	if err != nil {
		return nil, err
	}
	return session.Glance, nil
}

// report writes the report of a scene, the same one as the command report does without flags.
func (o liveOptions) report(ctx context.Context, sc *scene.Scene) ([]byte, error) {
	flags := []string{fmt.Sprintf("--workers=%d", o.workers)}
	if o.cold {
		flags = append(flags, "--rated-flux")
	}
	plain, err := plainReport(o.scene(), flags...)
	if err != nil {
		return nil, err
	}
	_, _, html, err := plain.html(ctx, streams{}, sc)
	return html, err
}

// watch shows the scene anew whenever its file, or one that it names, has changed and is sound.
func (o liveOptions) watch(ctx context.Context, s streams, h *live.Handler, seen sight) {
	for seen.change(ctx) {
		seen = lookAt(o.scene())
		if sc, err := scene.Read(o.scene()); err == nil && h.Show(sc) == nil {
			fmt.Fprintln(s.Err, o.scene(), "has changed, or a file that it names; open pages offer to load it")
		}
	}
}

// serve answers until ctx ends, which ends every request too.
func serve(ctx context.Context, listener net.Listener, h http.Handler) error {
	server := &http.Server{
		Handler: h, ReadHeaderTimeout: 10 * time.Second, IdleTimeout: 2 * time.Minute,
		BaseContext: func(net.Listener) context.Context { return ctx },
		ErrorLog:    log.New(io.Discard, "", 0), // what a broken connection says is of no use
	}
	defer context.AfterFunc(ctx, func() { _ = server.Close() })()
	if err := server.Serve(listener); !errors.Is(err, http.ErrServerClosed) {
		return fmt.Errorf("the page cannot be served: %w", err)
	}
	return nil
}

// freeSceneName returns a name beside the scene that no file has yet: foyer-2.yaml for foyer.yaml.
func freeSceneName(file string) string {
	for n := 2; ; n++ {
		name := nameWith(file, strconv.Itoa(n))
		if _, err := os.Lstat(filepath.Join(filepath.Dir(file), name)); errors.Is(err, fs.ErrNotExist) || n > 1000 {
			return name
		}
	}
}

// saveDraft writes a scene into the folder of the scene file. It returns the name that the file got.
func saveDraft(file string, d live.Draft) (string, error) {
	name, err := draftName(d.Name)
	if err != nil {
		return "", err
	}
	for _, other := range d.Scene.Files() {
		if strings.EqualFold(filepath.Clean(filepath.FromSlash(other.Name)), name) {
			return "", fmt.Errorf("%s holds parts of this scene; give another name", name)
		}
	}
	path := filepath.Join(filepath.Dir(file), name)
	free := func() error { // a link could lead out of the folder
		switch info, err := os.Lstat(path); {
		case err != nil:
			return nil // writing tells what else is wrong
		case !info.Mode().IsRegular():
			return fmt.Errorf("%s is not a regular file; give another name", name)
		case !d.Overwrite:
			return fmt.Errorf("%s exists; tick overwrite, or give another name", name)
		}
		return nil
	}
	if err = free(); err == nil {
		err = output.WriteFile(path, d.Text, free)
	}
	return name, err
}

// longestName is in bytes: file systems take 255, and a temporary file's name is longer.
const longestName = 200

// draftName checks a name that a page sent; one without an ending gets .yaml.
func draftName(name string) (string, error) {
	name = strings.TrimSpace(name)
	if ext := filepath.Ext(name); name != "" && ext != ".yaml" && ext != ".yml" {
		name += ".yaml"
	}
	foul := func(r rune) bool {
		return unicode.IsControl(r) || unicode.Is(unicode.Bidi_Control, r) || r == unicode.ReplacementChar ||
			strings.ContainsRune(`/\:*?"<>|`, r)
	}
	switch {
	case name == "":
		return "", errors.New("the file has no name; give one such as my-tank.yaml")
	case len(name) > longestName:
		return "", fmt.Errorf("the name has more than %d bytes; give a shorter one", longestName)
	case strings.HasPrefix(name, ".") || output.Reserved(name) || strings.IndexFunc(name, foul) >= 0 ||
		!filepath.IsLocal(name):
		return "", errors.New("this cannot be the name of a file beside the scene on every system: it may hold none of " +
			`/ \ : * ? " < > | and no control characters, begin with no dot, and be no device of Windows such as con; give ` +
			"one such as my-tank.yaml")
	}
	return name, nil
}

// checkDraft says of a setting of a scene what the command check would say once it is saved.
func checkDraft(sc *scene.Scene) (found live.Findings, err error) {
	text, err := edit.Rewrite(sc)
	if err != nil {
		return found, err
	}
	saved, err := scene.Parse(sc.File, text, sc.Open)
	if err != nil {
		return found, err
	}
	for _, f := range warningsOf(saved) {
		found.Warnings = append(found.Warnings, live.Found{Text: document.Visible(f.Words(unit.Metric)), Code: f.Code.Name,
			Path: f.Place.Path, Grave: f.Code.Severity == finding.Obstacle})
	}
	for _, line := range checked(saved).at("check") {
		found.Cautions = append(found.Cautions, document.Visible(line))
	}
	return found, nil
}

// watchEvery is how often files are looked at: they count as saved once two looks show the same. Looking works on
// network disks too, which report no changes.
const watchEvery = 200 * time.Millisecond

// watchScene calls redo at once and again after each change of the scene's file or of a file that it names, until ctx
// is done, which is no fault. Faults of redo are printed and the watch goes on; a scene file that is not there at first
// ends it.
func watchScene(ctx context.Context, s streams, file string, redo func(context.Context) error) error {
	if _, err := os.Stat(file); err != nil {
		_, err = scene.Read(file)
		return err
	}
	onInterrupt(ctx).usual.Store(true)
	for {
		seen := lookAt(file)
		err := redo(ctx)
		if ctx.Err() != nil {
			return nil
		}
		printError(s.Err, err)
		others := ""
		if n := len(seen.files) - 1; n > 0 {
			others = " and " + unit.Several(n, "file") + " that it names"
		}
		fmt.Fprintf(s.Err, "watching %s%s; Ctrl-C ends\n", file, others)
		if !seen.change(ctx) {
			return nil
		}
	}
}

// sight is a scene's file and those that it names, as far as it can be read, each once, and a sum of what they hold.
type sight struct {
	files []string
	sum   [sha256.Size]byte
}

func lookAt(path string) (s sight) {
	_, _ = scene.ReadNoting(path, func(file string) { // its faults are told by the command itself
		if !slices.Contains(s.files, file) {
			s.files = append(s.files, file)
		}
	})
	s.sum = sumOf(s.files)
	return s
}

// change waits until the files differ from what was seen and have come to rest; it returns false once ctx is done.
func (s sight) change(ctx context.Context) bool {
	for last := s.sum; ; {
		select {
		case <-ctx.Done():
			return false
		case <-time.After(watchEvery):
		}
		now := sumOf(s.files)
		if now == last && now != s.sum {
			return true
		}
		last = now
	}
}

// sumOf is a sum of what stands in files; one that cannot be read counts as not there.
func sumOf(files []string) [sha256.Size]byte {
	sum := sha256.New()
	for _, file := range files {
		data, err := scene.ReadFile(file)
		fmt.Fprintln(sum, err == nil, sha256.Sum256(data))
	}
	return [sha256.Size]byte(sum.Sum(nil))
}
