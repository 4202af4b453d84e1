package main

import (
	"fmt"
	"net"
	"net/url"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"standin/db/dbtest"
	"standin/db/private"
)

// Over a pooler in transaction mode, where no statement stays prepared and nobody
// hears of changes, bundles come in and questions and holds are answered.
func TestThroughAPooler(t *testing.T) {
	t.Parallel()
	direct := dbtest.New(t)
	pooled := poolerTo(t, direct)
	if got := run(t, "import", writeBundle(t, nil), "--database-url", pooled, "--by", "Ada"); got.status != statusAnswered {
		t.Fatalf("the bundle is not imported: %s", got.stderr)
	}
	token := strings.TrimSpace(run(t, "token", "add", "bench", "--scope", "stock", "--database-url", pooled).stdout)
	s := startServing(t, "serve", "--database-url", pooled)
	for range 40 { // so that connections are shared out anew
		for asked, want := range map[string]string{
			"GET /readyz": "200 ",
			"GET /v1/fits?brand=Corvane&model=DW+640": "200 ",
			"GET /v1/models?q=dw":                     "200 ",
			"POST /v1/holds":                          "201 ", // the same hold each time, by its key
		} {
			if got := s.outcomeOf(t, asked, token); got != want {
				t.Fatalf("%s: %q, want %q", asked, got, want)
			}
		}
	}
}

// poolerTo starts a pooler in transaction mode, with fewer connections to the
// server than the program has to the pooler.
func poolerTo(t *testing.T, at string) string {
	t.Helper()
	pgbouncer, err := exec.LookPath("pgbouncer")
	if err != nil {
		t.Skip("pgbouncer is not installed")
	}
	u, err := url.Parse(at)
	if err != nil {
		t.Fatal(err)
	}
	owner, err := private.FindOwner()
	if err != nil {
		t.Fatal(err)
	}
	dir, err := os.MkdirTemp("/tmp", "standin-pooler-")
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() { os.RemoveAll(dir) })
	l, err := net.Listen("tcp", "127.0.0.1:0")
	if err != nil {
		t.Fatal(err)
	}
	address := l.Addr().(*net.TCPAddr)
	l.Close()
	host, port := u.Query().Get("host"), u.Query().Get("port")
	if host == "" {
		host, port = u.Hostname(), u.Port()
	}
	server := fmt.Sprintf("host=%s port=%s user=%s", host, port, u.User.Username())
	if password, ok := u.User.Password(); ok {
		server += " password=" + password
	}
	settings := fmt.Sprintf("[databases]\n* = %s\n[pgbouncer]\nlisten_addr = 127.0.0.1\nlisten_port = %d\n"+
		"auth_type = any\npool_mode = transaction\ndefault_pool_size = 2\nunix_socket_dir =\n", server, address.Port)
	file := filepath.Join(dir, "pooler.ini")
	if err := os.WriteFile(file, []byte(settings), 0o600); err != nil {
		t.Fatal(err)
	}
	for _, path := range []string{dir, file} {
		if err := owner.Own(path); err != nil {
			t.Fatal(err)
		}
	}
	cmd := owner.Command(dir, pgbouncer, "--quiet", file)
	if err := cmd.Start(); err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() { cmd.Process.Kill(); cmd.Wait() })
	for began := time.Now(); ; time.Sleep(20 * time.Millisecond) {
		if conn, err := net.Dial("tcp", address.String()); err == nil {
			conn.Close()
			break
		}
		if time.Since(began) > 20*time.Second {
			t.Fatal("the pooler does not answer")
		}
	}
	return "postgres://" + u.User.Username() + "@" + address.String() + u.Path + "?sslmode=disable&default_query_exec_mode=cache_describe"
}
