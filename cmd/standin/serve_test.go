package main

import (
	"bytes"
	"context"
	"net/http"
	"regexp"
	"strings"
	"sync"
	"testing"
	"time"

	"standin/db/dbtest"
)

// serving is a run of the program that goes on until stop.
type serving struct {
	url    string // http://127.0.0.1:port
	stderr *watched
	stdout *watched
	stop   func() int // ends it as Ctrl-C does, and is its exit status
}

// watched is a buffer that one goroutine writes and another reads.
type watched struct {
	mu   sync.Mutex
	text bytes.Buffer
}

func (w *watched) Write(b []byte) (int, error) {
	w.mu.Lock()
	defer w.mu.Unlock()
	return w.text.Write(b)
}

func (w *watched) String() string {
	w.mu.Lock()
	defer w.mu.Unlock()
	return w.text.String()
}

var answersAt = regexp.MustCompile(`standin answers at (https?://[0-9.:]+)/v1/fits`)

// startServing runs a command that serves, on a free port, until the test ends.
func startServing(t *testing.T, args ...string) *serving {
	t.Helper()
	ctx, cancel := context.WithCancel(t.Context())
	s := &serving{stderr: &watched{}, stdout: &watched{}}
	ended := make(chan int, 1)
	go func() {
		all := append([]string{"standin"}, append(args, "--listen", "127.0.0.1:0")...)
		ended <- Run(ctx, all, strings.NewReader(""), s.stdout, s.stderr)
	}()
	s.stop = sync.OnceValue(func() int {
		cancel()
		return <-ended
	})
	t.Cleanup(func() { s.stop() })
	for deadline := time.Now().Add(time.Minute); ; time.Sleep(20 * time.Millisecond) {
		if m := answersAt.FindStringSubmatch(s.stderr.String()); m != nil {
			s.url = m[1]
			return s
		}
		select {
		case status := <-ended:
			t.Fatalf("it ended with status %d: %s", status, s.stderr)
		default:
		}
		if time.Now().After(deadline) {
			t.Fatalf("it does not serve after a minute: %s", s.stderr)
		}
	}
}

// statusOf is the status of a GET.
func (s *serving) statusOf(t *testing.T, path string) int {
	t.Helper()
	response, err := http.Get(s.url + path)
	if err != nil {
		t.Fatal(err)
	}
	response.Body.Close()
	return response.StatusCode
}

func TestServe(t *testing.T) {
	t.Parallel()
	s := startServing(t, "serve", "--database-url", loaded(t))
	for path, want := range map[string]int{
		"/v1/fits?brand=Corvane&model=DW+640": http.StatusOK,
		"/v1/fits?brand=Corvane&model=none":   http.StatusNotFound,
		"/readyz":                             http.StatusOK,
		"/docs":                               http.StatusOK,
	} {
		if got := s.statusOf(t, path); got != want {
			t.Errorf("GET %s: status %d, want %d", path, got, want)
		}
	}
	taken := strings.TrimPrefix(s.url, "http://")
	got := run(t, "serve", "--listen", taken, "--database-url", dbtest.New(t))
	checkSentence(t, got)
	if got.status != statusFailed || !strings.Contains(got.stderr, taken+" is in use") {
		t.Errorf("a second on the same port: status %d, stderr %q", got.status, got.stderr)
	}
	if status := s.stop(); status != statusAnswered || !strings.HasSuffix(s.stderr.String(), "standin stopped\n") {
		t.Errorf("stopped with status %d: %s", status, s.stderr)
	}
	if _, err := http.Get(s.url + "/healthz"); err == nil {
		t.Error("it still answers after it was stopped")
	}
}
