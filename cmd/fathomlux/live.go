package main

import (
	"cmp"
	"context"
	"errors"
	"fmt"
	"io"
	"log"
	"net"
	"net/http"
	"strconv"
	"syscall"
	"time"

	"github.com/spf13/cobra"

	"fathomlux/optics"
	"fathomlux/render/live"
	"fathomlux/scene"
)

type liveOptions struct {
	given
	port      int
	step      string
	workers   int
	cold      bool
	noBrowser bool
}

const liveLong = `Serves a page to a browser on this machine, with sliders for spacing, count, optic, beam angle, current,
height, tilt and water, and modules that can be dragged along their rail. The plan of the goal's plane, a slice along
the tank and the figures follow as they move. The page begins with a scene, or, without one or where SCENE is a
folder, with a first screen: a new tank, a scene of the folder, or an example. It proposes lights, arranges modules, shows the scene file as text, and
saves to the scene's folder.

The printed address holds a token, without which nobody can use the page; other machines cannot reach it at all. With
--port the token is the same every time, so that an open page goes on after a restart. Ctrl-C ends it.

The page shows the light that the command map computes.`

func newLiveCommand(s streams) *cobra.Command {
	o := liveOptions{noBrowser: true}
	c := &cobra.Command{
		Use:     "live [SCENE]",
		Short:   "serve a page for a browser, to plan and to try changes by hand",
		Long:    liveLong,
		Example: "fathomlux live scene.yaml\nfathomlux live scene.yaml --port 8080 --step \"5 mm\"",
	}
	o.bind(c)
	f := c.Flags()
	f.StringVar(&o.step, "step", "", "cell size of the plane, such as \"10 mm\" (default about 6000 cells)")
	f.IntVar(&o.workers, "workers", 0, "parallel workers (default one per core); no effect on results")
	bindRatedFlux(c, &o.cold)
	return command(s, c, &o.given, o.run)
}

func (o *liveOptions) bind(c *cobra.Command) {
	c.Flags().IntVar(&o.port, "port", 0, "port to serve the page on; 0 picks a free one")
}

func (o *liveOptions) run(ctx context.Context, s streams) error {
	ctx, cancel := context.WithCancel(ctx)
	defer cancel()
	files := newFolder(ctx, s, o.args)
	files.broken.Then = cancel
	defer files.broken.Throw()
	var sc *scene.Scene
	var seen sight
	var err error
	if files.first != "" {
		seen = lookAt(o.scene())
		if sc, err = scene.Read(o.scene()); err != nil {
			return err
		}
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
	door := newDoor(tokenFor(o.port))
	files.page = live.New(o.config(door.token, port, files))
	if sc != nil {
		if err := files.page.Show(sc); err != nil {
			return err
		}
		files.watch(files.first, seen)
	}
	address := fmt.Sprintf("http://127.0.0.1:%d/%s/", port, door.token)
	if _, err := fmt.Fprintln(s.Out, address); err != nil {
		return err // nobody knows the address
	}
	words := "open this address in a browser on this machine; Ctrl-C ends it"
	if !o.noBrowser && canBrowse(s) && browse(fmt.Sprintf("http://127.0.0.1:%d/%s", port, door.once)) == nil {
		words = "a browser opens at this address; Ctrl-C ends it"
	}
	fmt.Fprintln(s.Err, words)
	return serve(ctx, listener, caught(door.before(hurried(files.page, slowest)), &files.broken))
}

// listenAt takes a port of this machine, a free one where it is 0.
func listenAt(port int) (net.Listener, error) {
	listener, err := net.Listen("tcp", net.JoinHostPort("127.0.0.1", strconv.Itoa(port)))
	if err == nil {
		return listener, nil
	}
	if failedBy(err, syscall.EADDRINUSE, 10048) { // WSAEADDRINUSE
		return nil, fmt.Errorf("--port: port %d is taken by another program; --port 0 takes a free one", port)
	}
	return nil, fmt.Errorf("--port: port %d is not available (%w); --port 0 takes a free one", port, err)
}

func (o liveOptions) config(token string, port int, files *folder) live.Config {
	return live.Config{
		Token:   token,
		Hosts:   []string{fmt.Sprintf("127.0.0.1:%d", port), fmt.Sprintf("localhost:%d", port)},
		First:   files.first,
		Files:   files,
		Choices: formChoices(),
		Open:    o.glance,
		Check:   checkDraft,
		Save:    func(d live.Draft) (string, error) { return saveDraft(files.path("scene.yaml"), d) },
		Report:  o.report,
		Sheet:   o.sheet,
		Eyes:    eyeChoices(),
		Seen:    o.seen,
		Jobs:    map[string]live.Job{"propose": o.proposals, "arrange": o.arrangement},
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

// report writes the report of a setting of a scene, the same one as the command report does of its file without flags.
func (o liveOptions) report(ctx context.Context, sc *scene.Scene, tell func(done, total int)) ([]byte, error) {
	sc, err := asSaved(sc)
	if err != nil {
		return nil, err
	}
	flags := []string{fmt.Sprintf("--workers=%d", o.workers)}
	if o.cold {
		flags = append(flags, "--rated-flux")
	}
	plain, err := plainReport(sc.File, flags...)
	if err != nil {
		return nil, err
	}
	plain.tell = tell
	_, _, html, err := plain.html(ctx, streams{}, sc)
	return html, err
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
