package intake_test

import (
	"bufio"
	"context"
	"fmt"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"standin"
	"standin/db"
	"standin/db/bundle"
	"standin/db/dbtest"
	"standin/db/uploads"
	"standin/importer/intake"
)

// childURL makes this test binary a service that takes one bundle in and is killed.
const childURL = "STANDIN_TEST_INTAKE_ON"

func TestMain(m *testing.M) {
	if url := os.Getenv(childURL); url != "" {
		if err := serveAsChild(url, os.Args[1]); err != nil {
			fmt.Println(err)
		}
		os.Exit(1)
	}
	os.Exit(m.Run())
}

const killedRows = 20_000

func serveAsChild(url, dir string) error {
	ctx := context.Background()
	database, err := db.Open(ctx, url)
	if err != nil {
		return err
	}
	s, err := intake.New(intake.Config{Catalogue: bundle.NewStore(database), Uploads: uploads.NewStore(database), Dir: dir})
	if err != nil {
		return err
	}
	in, err := s.Receive(ctx)
	if err != nil {
		return err
	}
	var text strings.Builder
	text.WriteString("source,title\n")
	for i := range killedRows {
		fmt.Fprintf(&text, "Leaflet %d,Trout\n", i)
	}
	if err := in.Add("sources.csv", strings.NewReader(text.String())); err != nil {
		return err
	}
	u, err := in.Submit(ctx, standin.NewUpload{By: "child"}, standin.Once{})
	if err != nil {
		return err
	}
	fmt.Println(u.ID)
	time.Sleep(time.Minute)
	return nil
}

// Whenever a service is killed, its upload is either done, with the import, or lost, and
// nothing was imported; and the next start removes its files.
func TestKilledService(t *testing.T) {
	t.Parallel()
	const kills = 8
	ends := map[standin.UploadState]int{}
	for i := range kills {
		url := dbtest.New(t)
		dir := filepath.Join(t.TempDir(), "uploads")
		child := exec.Command(os.Args[0], dir)
		child.Env = append(os.Environ(), childURL+"="+url)
		out, err := child.StdoutPipe()
		if err != nil {
			t.Fatal(err)
		}
		if err := child.Start(); err != nil {
			t.Fatal(err)
		}
		line, _ := bufio.NewReader(out).ReadString('\n')
		id := strings.TrimSpace(line)
		survivor := start(t, url, func(c *intake.Config) { c.Dir = filepath.Join(t.TempDir(), "other") })
		if i == kills-1 { // once it is certain to be done
			survivor.end(t, id)
		} else {
			time.Sleep(time.Duration(i) * 120 * time.Millisecond)
		}
		_ = child.Process.Kill()
		_ = child.Wait()
		next := start(t, url, func(c *intake.Config) { c.Dir = dir })
		if left := next.left(t); len(left) > 0 {
			t.Errorf("left: %v", left)
		}
		survivor.exec(t, `UPDATE uploads SET heartbeat = heartbeat - interval '21 seconds' WHERE ended IS NULL`)
		u := survivor.end(t, id)
		ends[u.State]++
		for wait := range 20 { // a commit that was sent may still come
			var imported int
			var state standin.UploadState
			err := survivor.database.Pool().QueryRow(t.Context(), `SELECT (SELECT count(*) FROM sources), state FROM uploads WHERE id = $1`, id).Scan(&imported, &state)
			if err != nil || state != u.State || (state == standin.UploadDone) != (imported == killedRows) || imported != 0 && imported != killedRows {
				t.Fatalf("kill %d, look %d: %s, then %s, with %d rows, %v", i, wait, u.State, state, imported, err)
			}
			time.Sleep(20 * time.Millisecond)
		}
	}
	t.Logf("%v", ends)
	if ends[standin.UploadDone] == 0 || ends[standin.UploadLost] == 0 || len(ends) != 2 {
		t.Errorf("the ends are %v", ends)
	}
}
