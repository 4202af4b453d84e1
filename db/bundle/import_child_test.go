package bundle

import (
	"bytes"
	"context"
	"fmt"
	"os"
	"os/exec"
	"strings"
	"testing"

	"standin/db"
	"standin/importer"
)

// childURL makes this test binary a program that imports the bundle that its first
// argument names into a database, and says what became of it.
const childURL = "STANDIN_TEST_IMPORT_TO"

func TestMain(m *testing.M) {
	if url := os.Getenv(childURL); url != "" {
		if err := importAsChild(url, os.Args[1]); err != nil {
			fmt.Println(err)
			os.Exit(1)
		}
		return
	}
	os.Exit(m.Run())
}

func importAsChild(url, path string) error {
	ctx := context.Background()
	catalogue, err := db.Open(ctx, url)
	if err != nil {
		return err
	}
	defer catalogue.Close()
	report, err := importer.Run(ctx, NewStore(catalogue), []string{path}, importer.Options{By: "child"})
	if err != nil {
		return err
	}
	if report.Errors > 0 {
		return fmt.Errorf("%s %+v", report.Summary(), report.Findings[0])
	}
	fmt.Println(report.Summary())
	return nil
}

// child is a program of its own that imports a bundle.
type child struct {
	*exec.Cmd
	out bytes.Buffer
}

func newChild(url, path string) *child {
	c := &child{Cmd: exec.Command(os.Args[0], path)}
	c.Env = append(os.Environ(), childURL+"="+url)
	c.Stdout, c.Stderr = &c.out, &c.out
	return c
}

// said is what the child said in the end.
func (c *child) said() string { return strings.TrimSpace(c.out.String()) }
