package dbtest

import (
	"context"
	"fmt"
	"net"
	"os"
	"path/filepath"
	"strconv"
	"strings"
	"syscall"
	"testing"
	"time"

	"github.com/jackc/pgx/v5"

	"standin/db/private"
	"standin/migrations"
)

// Cluster is a primary and its standbys, each a server of its own on this machine.
type Cluster struct {
	t        testing.TB
	binaries private.Binaries
	owner    private.Owner
	dir      string
	Servers  []*ClusterServer // the first is the primary at first
}

// ClusterServer is one server of a cluster.
type ClusterServer struct {
	URL  string
	host string // with its port
	data string
	port int
	of   *Cluster
}

// NewCluster starts a primary with the migrated schema and so many standbys. A
// commit waits until one standby at least shows it, so that no change that was
// answered is lost with the primary. Everything ends with the test.
func NewCluster(t testing.TB, standbys int) *Cluster {
	t.Helper()
	binaries, ok := private.Find(0)
	if !ok {
		if os.Getenv("STANDIN_TEST_REQUIRE") == "1" {
			t.Fatal(NoServer + "none is installed")
		}
		t.Skip(NoServer + "none is installed to make a cluster of")
	}
	owner, err := private.FindOwner()
	if err != nil {
		t.Fatal(err)
	}
	dir, err := tempDir(owner)
	if err != nil {
		t.Fatal(err)
	}
	c := &Cluster{t: t, binaries: binaries, owner: owner, dir: dir}
	t.Cleanup(func() {
		for _, s := range c.Servers {
			s.Kill()
		}
		_ = os.RemoveAll(dir) // what is left is in the temporary folder
	})
	primary := c.add()
	c.do("initdb", "--pgdata="+primary.data, "--username=standin", "--auth=trust", "--encoding=UTF8", "--locale=C", "--no-sync", "--no-instructions")
	primary.start()
	if err := migrations.Up(t.Context(), primary.URL); err != nil {
		t.Fatal(err)
	}
	for range standbys {
		s := c.add()
		c.do("pg_basebackup", "--pgdata="+s.data, "--dbname="+primary.URL, "--write-recovery-conf", "--checkpoint=fast", "--no-sync",
			"--wal-method=stream", "--create-slot", "--slot="+filepath.Base(s.data))
		s.start()
	}
	if standbys > 0 {
		primary.Exec(`ALTER SYSTEM SET synchronous_standby_names = 'ANY 1 (*)'`)
		primary.Exec(`ALTER SYSTEM SET synchronous_commit = remote_apply`)
		primary.Exec(`SELECT pg_reload_conf()`)
	}
	return c
}

// add takes a folder and a port for one server more.
func (c *Cluster) add() *ClusterServer {
	c.t.Helper()
	l, err := net.Listen("tcp", "127.0.0.1:0")
	if err != nil {
		c.t.Fatal(err)
	}
	port := l.Addr().(*net.TCPAddr).Port
	l.Close()
	host := "127.0.0.1:" + strconv.Itoa(port)
	s := &ClusterServer{of: c, port: port, host: host, data: filepath.Join(c.dir, fmt.Sprintf("server%d", len(c.Servers)+1)),
		URL: "postgres://standin@" + host + "/postgres?sslmode=disable"}
	c.Servers = append(c.Servers, s)
	return s
}

// URL names every server, in their order.
func (c *Cluster) URL() string { return c.URLOf(len(c.Servers)) }

// URLOf names the first so many servers.
func (c *Cluster) URLOf(servers int) string {
	var hosts []string
	for _, s := range c.Servers[:servers] {
		hosts = append(hosts, s.host)
	}
	return "postgres://standin@" + strings.Join(hosts, ",") + "/postgres?sslmode=disable"
}

// AwaitStandbys waits until every standby shows what the primary has committed.
func (c *Cluster) AwaitStandbys() {
	c.t.Helper()
	ctx, cancel := context.WithTimeout(c.t.Context(), patience)
	defer cancel()
	conn, err := pgx.Connect(ctx, c.Servers[0].URL)
	if err != nil {
		c.t.Fatal(err)
	}
	defer conn.Close(ctx)
	var committed string
	if err := conn.QueryRow(ctx, `SELECT pg_current_wal_insert_lsn()::text`).Scan(&committed); err != nil {
		c.t.Fatal(err)
	}
	for there := 0; there < len(c.Servers)-1; time.Sleep(10 * time.Millisecond) {
		err := conn.QueryRow(ctx, `SELECT count(*) FROM pg_stat_replication WHERE replay_lsn >= $1::pg_lsn`, committed).Scan(&there)
		if err != nil {
			c.t.Fatal(err)
		}
	}
}

// do runs one of PostgreSQL's programs to its end.
func (c *Cluster) do(program string, args ...string) {
	c.t.Helper()
	path := c.binaries.Program(program)
	if postgres, err := filepath.EvalSymlinks(c.binaries.Program("postgres")); err == nil {
		path = filepath.Join(filepath.Dir(postgres), program) // links may be to a few programs alone
	}
	if out, err := c.owner.Command(c.dir, path, args...).CombinedOutput(); err != nil {
		c.t.Fatalf("%s: %v\n%s", program, err, out)
	}
}

// start runs the server until it is killed or this test binary ends.
func (s *ClusterServer) start() {
	t := s.of.t
	t.Helper()
	cmd := s.of.owner.Command(s.of.dir, "/bin/sh", "-c", `"$@" >>"$0" 2>&1 & read -r nothing; kill -QUIT $! 2>/dev/null; wait $!`, s.data+".log",
		s.of.binaries.Program("postgres"), "-D", s.data, "-c", "listen_addresses=127.0.0.1", "-c", "port="+strconv.Itoa(s.port),
		"-c", "unix_socket_directories="+s.of.dir, "-c", "fsync=off", "-c", "full_page_writes=off",
		"-c", "wal_level=replica", "-c", "max_wal_senders=8", "-c", "hot_standby=on", "-c", "wal_receiver_timeout=5s", "-c", "wal_retrieve_retry_interval=200ms")
	if err := whenWeEnd(cmd); err != nil {
		t.Fatal(err)
	}
	one, err := newServer(s.URL)
	if err != nil {
		t.Fatal(err)
	}
	if err := one.awaitAnswer(t.Context()); err != nil {
		log, _ := os.ReadFile(s.data + ".log")
		t.Fatalf("%v\n%s", err, log)
	}
}

// Exec does a statement on this server alone.
func (s *ClusterServer) Exec(sql string) {
	s.of.t.Helper()
	ctx := s.of.t.Context()
	conn, err := pgx.Connect(ctx, s.URL)
	if err != nil {
		s.of.t.Fatal(err)
	}
	defer conn.Close(ctx)
	if _, err := conn.Exec(ctx, sql); err != nil {
		s.of.t.Fatal(err)
	}
}

// Promote makes a standby the primary.
func (s *ClusterServer) Promote() {
	s.of.t.Helper()
	s.Exec(`SELECT pg_promote()`)
}

// Kill ends every process of the server as a failure of its machine would. One that
// does not run is left alone.
func (s *ClusterServer) Kill() {
	pid, children, err := s.processes()
	if err != nil {
		return
	}
	for _, n := range append([]int{pid}, children...) {
		_ = syscall.Kill(n, syscall.SIGKILL) // one that has ended already is as wanted
	}
	for range 500 {
		stat, err := os.ReadFile(fmt.Sprintf("/proc/%d/stat", pid))
		if err != nil || strings.Contains(string(stat), ") Z ") {
			os.Remove(filepath.Join(s.data, "postmaster.pid"))
			return
		}
		time.Sleep(10 * time.Millisecond)
	}
	s.of.t.Errorf("server %d is still there", pid)
}

// processes are the postmaster and what it has started.
func (s *ClusterServer) processes() (postmaster int, children []int, err error) {
	text, err := os.ReadFile(filepath.Join(s.data, "postmaster.pid"))
	if err != nil {
		return 0, nil, err
	}
	first, _, _ := strings.Cut(string(text), "\n")
	if postmaster, err = strconv.Atoi(first); err != nil {
		return 0, nil, err
	}
	if postmaster < 2 {
		return 0, nil, fmt.Errorf("%d is no server", postmaster)
	}
	list, _ := os.ReadFile(fmt.Sprintf("/proc/%d/task/%d/children", postmaster, postmaster)) // none where it has ended
	for child := range strings.FieldsSeq(string(list)) {
		if n, err := strconv.Atoi(child); err == nil {
			children = append(children, n)
		}
	}
	return postmaster, children, nil
}

// AwaitPrimary waits until some server of a URL takes writes.
func AwaitPrimary(ctx context.Context, url string) error {
	for {
		conn, err := pgx.Connect(ctx, url+"&target_session_attrs=read-write")
		if err == nil {
			return conn.Close(ctx)
		}
		select {
		case <-ctx.Done():
			return err
		case <-time.After(50 * time.Millisecond):
		}
	}
}
