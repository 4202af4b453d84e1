package private

import (
	"bufio"
	"context"
	"fmt"
	"os"
	"os/exec"
	"path/filepath"
	"syscall"
	"testing"
	"time"
)

// asProgram makes this test binary a program that uses the server of a folder
// until it is killed.
const asProgram = "STANDIN_PRIVATE_TEST_DIR"

func TestMain(m *testing.M) {
	if dir := os.Getenv(asProgram); dir != "" {
		if _, err := Start(context.Background(), Config{Dir: dir}); err != nil {
			fmt.Println(err)
			os.Exit(1)
		}
		fmt.Println("started")
		select {}
	}
	os.Exit(m.Run())
}

func TestProgramIsKilled(t *testing.T) {
	t.Parallel()
	dir := newDir(t)
	program := exec.Command(os.Args[0])
	program.Env = append(os.Environ(), asProgram+"="+dir)
	out, err := program.StdoutPipe()
	if err != nil {
		t.Fatal(err)
	}
	if err := program.Start(); err != nil {
		t.Fatal(err)
	}
	if line, err := bufio.NewReader(out).ReadString('\n'); line != "started\n" {
		t.Fatalf("the program said %q (%v)", line, err)
	}
	before, _ := pidIn(filepath.Join(dir, "pg", "data", "postmaster.pid"))
	if err := program.Process.Kill(); err != nil {
		t.Fatal(err)
	}
	program.Wait()

	s := startIn(t, dir)
	if now := postmaster(t, s); now != before {
		t.Errorf("server %d was started, want %d, which goes on, joined", now, before)
	}
	stop(t, s)
	if alive(before) {
		t.Error("the killed program still counts as a user: the server was not stopped")
	}
}

func TestServerIsKilled(t *testing.T) {
	t.Parallel()
	dir := newDir(t)
	s := startIn(t, dir)
	run(t, connect(t, s.URL()), "CREATE TABLE kept AS SELECT 7 AS n")
	pid := postmaster(t, s)
	if err := syscall.Kill(pid, syscall.SIGKILL); err != nil {
		t.Fatal(err)
	}
	wantKept(t, startIn(t, dir))
}

// A server that does not do as it is told is ended as if the power failed.
func TestServerDoesNotStop(t *testing.T) {
	t.Parallel()
	dir := newDir(t)
	s := startIn(t, dir)
	run(t, connect(t, s.URL()), "CREATE TABLE kept AS SELECT 7 AS n")
	pid := postmaster(t, s)
	var checkpointer int // without which it does not shut down
	err := connect(t, s.home.url(superuser, "postgres")).QueryRow(t.Context(),
		"SELECT pid FROM pg_stat_activity WHERE backend_type = 'checkpointer'").Scan(&checkpointer)
	if err != nil {
		t.Fatal(err)
	}
	if err := syscall.Kill(checkpointer, syscall.SIGSTOP); err != nil {
		t.Fatal(err)
	}
	soon, cancel := context.WithTimeout(t.Context(), 2*time.Second)
	defer cancel()
	if err := s.Stop(soon); err != nil {
		t.Error(err)
	}
	if alive(pid) {
		t.Error("the server is still there")
	}
	wantKept(t, startIn(t, dir))
}

func TestLocksOfAServerThatIsNoMore(t *testing.T) {
	t.Parallel()
	dir := newDir(t)
	s := startIn(t, dir)
	run(t, connect(t, s.URL()), "CREATE TABLE kept AS SELECT 7 AS n")
	stop(t, s)

	// Another process of the account now has the number.
	other := s.home.owner.Command("/", "sleep", "60")
	if err := other.Start(); err != nil {
		t.Fatal(err)
	}
	defer func() {
		other.Process.Kill()
		other.Wait()
	}()
	for _, path := range []string{filepath.Join(s.home.data(), "postmaster.pid"), filepath.Join(s.home.socket, socketName+".lock")} {
		text := fmt.Sprintf("%d\n%s\n1\n5432\n%s\n\n", other.Process.Pid, s.home.data(), s.home.socket)
		if err := os.WriteFile(path, []byte(text), 0o600); err != nil {
			t.Fatal(err)
		}
		if err := s.home.owner.Own(path); err != nil {
			t.Fatal(err)
		}
	}
	wantKept(t, startIn(t, dir))
}

// newDir makes a folder for a server.
func newDir(t *testing.T) string {
	t.Helper()
	needsPostgreSQL(t)
	return folder(t)
}

// needsPostgreSQL ends the test where no PostgreSQL is installed; it would be
// fetched.
func needsPostgreSQL(t *testing.T) {
	t.Helper()
	if _, ok := Find(0); ok {
		return
	}
	const reason = "no PostgreSQL for tests: none is installed"
	if os.Getenv("STANDIN_TEST_REQUIRE") == "1" {
		t.Fatal(reason)
	}
	t.Skip(reason)
}

// folder makes a folder that PostgreSQL's account may enter, as it may not
// t.TempDir where the tests run as root. It is in memory where there is room:
// new databases are flushed to the disk.
func folder(t *testing.T) string {
	t.Helper()
	base := "/tmp"
	var shm syscall.Statfs_t
	if err := syscall.Statfs("/dev/shm", &shm); err == nil && uint64(shm.Bavail)*uint64(shm.Bsize) > 1<<30 {
		base = "/dev/shm"
	}
	dir, err := os.MkdirTemp(base, "standin-private-")
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() { os.RemoveAll(dir) })
	if err := os.Chmod(dir, 0o755); err != nil {
		t.Fatal(err)
	}
	return dir
}

func postmaster(t *testing.T, s *Server) int {
	t.Helper()
	pid, ok := pidIn(filepath.Join(s.home.data(), "postmaster.pid"))
	if !ok {
		t.Fatal("the server has no postmaster.pid")
	}
	return pid
}

// alive reports whether a process runs; one that has ended may take a moment to go.
func alive(pid int) bool {
	for range 50 {
		if syscall.Kill(pid, 0) != nil || isZombie(pid) {
			return false
		}
		time.Sleep(20 * time.Millisecond)
	}
	return true
}
