package private

import (
	"os"
	"path/filepath"
	"testing"
)

func TestNewest(t *testing.T) {
	t.Parallel()
	root := t.TempDir()
	pretend(t, root, "9", "postgres (PostgreSQL) 9.6.24", "initdb", "pg_ctl", "postgres")
	pretend(t, root, "14", "postgres (PostgreSQL) 14.20 (Debian 14.20-1)", "initdb", "pg_ctl", "postgres")
	pretend(t, root, "15", "postgres (PostgreSQL) 15.14 (Debian 15.14-0+deb12u1)", "initdb", "pg_ctl", "postgres")
	pretend(t, root, "16", "postgres (PostgreSQL) 16beta2", "initdb", "pg_ctl", "postgres")
	pretend(t, root, "17", "postgres (PostgreSQL) 17.5", "postgres") // the server's other half is missing
	pretend(t, root, "18", "something else", "initdb", "pg_ctl", "postgres")
	all := []string{filepath.Join(root, "*", "bin")}
	for name, test := range map[string]struct {
		folders []string
		major   int
		want    int // 0: none
	}{
		"the newest that is whole":   {all, 0, 16},
		"a version asked for":        {all, 15, 15},
		"a version not there":        {all, 12, 0},
		"too old, even if asked for": {all, 14, 0},
		"a folder by name":           {[]string{filepath.Join(root, "15", "bin")}, 0, 15},
		"nowhere":                    {nil, 0, 0},
		"places that are no folders": {[]string{"", "[", "/nowhere/*"}, 0, 0},
	} {
		t.Run(name, func(t *testing.T) {
			t.Parallel()
			got, ok := newest(test.folders, test.major)
			if got.Major != test.want || ok != (test.want != 0) {
				t.Errorf("newest = %+v, %t; want major %d", got, ok, test.want)
			}
		})
	}
}

// pretend makes a PostgreSQL that can do nothing but tell its version.
func pretend(t *testing.T, root, name, version string, programs ...string) {
	t.Helper()
	bin := filepath.Join(root, name, "bin")
	if err := os.MkdirAll(bin, 0o755); err != nil {
		t.Fatal(err)
	}
	for _, program := range programs {
		script := "#!/bin/sh\necho '" + version + "'\n"
		if err := os.WriteFile(filepath.Join(bin, program), []byte(script), 0o755); err != nil {
			t.Fatal(err)
		}
	}
}
