package main

import (
	"bufio"
	"fmt"
	"io"
	"net"
	"net/http"
	"net/http/httptest"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"
)

// TestTokenStays: at a port of one's own choice the token is that of last time, in a file that nobody else may read; at a free
// port it is a new one.
func TestTokenStays(t *testing.T) {
	dir := t.TempDir()
	for _, name := range []string{"HOME", "XDG_CACHE_HOME", "LocalAppData"} {
		t.Setenv(name, dir)
	}
	first := tokenFor(4711)
	if again := tokenFor(4711); again != first {
		t.Errorf("%s after %s", again, first)
	}
	free := tokenFor(0)
	if tokenFor(4712) == first || free == first || tokenFor(0) == free || len(first) < 20 {
		t.Error("tokens of other calls are alike, or short")
	}
	cache, err := os.UserCacheDir()
	if err != nil {
		t.Fatal(err)
	}
	path := filepath.Join(cache, "fathomlux", "live-4711")
	info, err := os.Stat(path)
	if err != nil {
		t.Fatal(err)
	}
	if own := info.Mode().Perm(); own&0o077 != 0 && os.PathSeparator == '/' {
		t.Errorf("others may read the token: %v", own)
	}
	if os.PathSeparator == '/' {
		if err := os.Chmod(path, 0o644); err != nil {
			t.Fatal(err)
		}
		if tokenFor(4711) == first {
			t.Error("a token that others could read is used again")
		}
	}
}

// TestDoorOpensOnce: the address that a browser is started with leads to the page once.
func TestDoorOpensOnce(t *testing.T) {
	d := newDoor("secret")
	h := d.before(http.NotFoundHandler())
	for _, want := range []int{http.StatusSeeOther, http.StatusNotFound} {
		w := httptest.NewRecorder()
		h.ServeHTTP(w, httptest.NewRequest("GET", "/"+d.once, nil))
		if w.Code != want || want == http.StatusSeeOther && w.Header().Get("Location") != "/secret/" {
			t.Errorf("%d to %q, want %d", w.Code, w.Header().Get("Location"), want)
		}
	}
	if strings.Contains(d.once, d.token) {
		t.Error("the first address holds the token")
	}
}

// TestSlowBodiesAreCut: a body that does not arrive is not waited for; an answer may take as long as it likes.
func TestSlowBodiesAreCut(t *testing.T) {
	t.Parallel()
	const limit = 100 * time.Millisecond
	server := httptest.NewServer(hurried(http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) {
		body, _ := io.ReadAll(r.Body)
		select {
		case <-time.After(3 * limit):
			fmt.Fprintf(w, "got %s", body)
		case <-r.Context().Done():
		}
	}), limit))
	defer server.Close()
	answer, err := http.Post(server.URL, "application/json", strings.NewReader("all"))
	if err != nil {
		t.Fatal(err)
	}
	defer answer.Body.Close()
	if body, _ := io.ReadAll(answer.Body); string(body) != "got all" {
		t.Errorf("a body at once and a slow answer: %q", body)
	}
	for _, head := range []string{"POST / HTTP/1.1\r\nContent-Length: 10", "GET / HTTP/1.1\r\nContent-Length: 10", "POST / HTTP/1.1\r\nTransfer-Encoding: chunked"} {
		cutsOff(t, strings.TrimPrefix(server.URL, "http://"), head, 20*limit)
	}
}

// cutsOff sends a head and the first byte of a body, and wants an answer and the end of the connection.
func cutsOff(t *testing.T, address, head string, within time.Duration) {
	t.Helper()
	conn, err := net.Dial("tcp", address)
	if err != nil {
		t.Fatal(err)
	}
	defer conn.Close()
	fmt.Fprintf(conn, "%s\r\nHost: x\r\nContent-Type: application/json\r\n\r\n1", head)
	_ = conn.SetReadDeadline(time.Now().Add(within))
	cut, err := http.ReadResponse(bufio.NewReader(conn), nil)
	if err != nil {
		t.Fatalf("%q: %v", head, err)
	}
	defer cut.Body.Close()
	if cut.StatusCode != http.StatusRequestTimeout {
		t.Errorf("%q, half a body: %s", head, cut.Status)
	}
	if _, err := io.Copy(io.Discard, conn); err != nil {
		t.Errorf("%q: the connection stays open: %v", head, err)
	}
}
