package main

import (
	"bytes"
	"crypto/rand"
	"io"
	"io/fs"
	"net/http"
	"os"
	"os/exec"
	"path/filepath"
	"runtime"
	"strconv"
	"sync/atomic"
	"time"

	"golang.org/x/term"
)

// door lets a browser in that the program has opened: the call that opens it can be read by other users of the machine,
// so that it holds a word that serves once, in place of the token.
type door struct {
	token, once string
	used        atomic.Bool
}

func newDoor(token string) *door { return &door{token: token, once: rand.Text()} }

// before is the page with the door before it.
func (d *door) before(page http.Handler) http.Handler {
	return http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) {
		if r.Method == http.MethodGet && r.URL.Path == "/"+d.once && d.used.CompareAndSwap(false, true) {
			w.Header().Set("Cache-Control", "no-store")
			http.Redirect(w, r, "/"+d.token+"/", http.StatusSeeOther)
			return
		}
		page.ServeHTTP(w, r)
	})
}

// tokenFor returns a token: at a port that the user has chosen, the one of last time, so that open pages find the
// program again. It lies among the user's own files, which nobody else may read.
func tokenFor(port int) string {
	fresh := rand.Text()
	dir, err := os.UserCacheDir()
	if port == 0 || err != nil {
		return fresh
	}
	path := filepath.Join(dir, "fathomlux", "live-"+strconv.Itoa(port))
	own := func(info fs.FileInfo) bool { // Windows has other rights, which the folder passes on
		return info.Mode().IsRegular() && (runtime.GOOS == "windows" || info.Mode().Perm()&0o077 == 0)
	}
	if info, err := os.Lstat(path); err == nil && own(info) {
		if old, err := os.ReadFile(path); err == nil && len(old) == len(fresh) {
			return string(old)
		}
	}
	if os.MkdirAll(filepath.Dir(path), 0o700) == nil {
		_ = os.Remove(path)
		_ = os.WriteFile(path, []byte(fresh), 0o600) // without it a page has to be opened anew
	}
	return fresh
}

// slowest is how long the body of a request may take to arrive.
const slowest = 10 * time.Second

// hurried is the page with bodies that have arrived: one that does not within slowest is not waited for.
func hurried(page http.Handler, slowest time.Duration) http.Handler {
	return http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) {
		if r.ContentLength != 0 { // of any method
			in := http.NewResponseController(w)
			_ = in.SetReadDeadline(time.Now().Add(slowest))
			body, err := io.ReadAll(http.MaxBytesReader(w, r.Body, mostBody))
			if err != nil {
				w.Header().Set("Connection", "close")
				http.Error(w, "the body did not arrive in time, or is too long", http.StatusRequestTimeout)
				return
			}
			_ = in.SetReadDeadline(time.Time{}) // or the end of the wait would end the answer
			r.Body = io.NopCloser(bytes.NewReader(body))
		}
		page.ServeHTTP(w, r)
	})
}

// mostBody is more than any request of the page has.
const mostBody = 1 << 21

// canBrowse tells whether somebody sits at this machine who would see a browser open.
func canBrowse(s streams) bool {
	file, ok := terminalOf(s.Out)
	if !ok || !term.IsTerminal(int(file.Fd())) || os.Getenv("SSH_CONNECTION") != "" {
		return false
	}
	return runtime.GOOS == "windows" || runtime.GOOS == "darwin" || os.Getenv("DISPLAY") != "" ||
		os.Getenv("WAYLAND_DISPLAY") != ""
}

// browse opens an address in the user's browser.
func browse(address string) error {
	words := []string{"xdg-open"}
	switch runtime.GOOS {
	case "windows":
		words = []string{"rundll32", "url.dll,FileProtocolHandler"}
	case "darwin":
		words = []string{"open"}
	}
	c := exec.Command(words[0], append(words[1:], address)...)
	if err := c.Start(); err != nil {
		return err
	}
	go func() { _ = c.Wait() }() // so that none is left behind
	return nil
}
