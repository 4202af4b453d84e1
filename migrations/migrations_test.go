package migrations

import (
	"testing"
	"testing/fstest"
)

func folder(names ...string) fstest.MapFS {
	files := fstest.MapFS{}
	for _, name := range names {
		files[name] = &fstest.MapFile{}
	}
	return files
}

func TestLatest(t *testing.T) {
	t.Parallel()
	tests := []struct {
		name  string
		files []string
		want  uint
		ok    bool
	}{
		{"no step", nil, 0, true},
		{"one step", []string{"000001_a.up.sql", "000001_a.down.sql"}, 1, true},
		{"two steps", []string{"000001_a.up.sql", "000001_a.down.sql", "000002_b.up.sql", "000002_b.down.sql"}, 2, true},
		{"no way down", []string{"000001_a.up.sql"}, 0, false},
		{"no way up", []string{"000001_a.down.sql"}, 0, false},
		{"two steps of one number", []string{"000001_a.up.sql", "000001_a.down.sql", "000001_b.up.sql", "000001_b.down.sql"}, 0, false},
		{"a number left out", []string{"000002_b.up.sql", "000002_b.down.sql"}, 0, false},
		{"five digits", []string{"00001_a.up.sql", "00001_a.down.sql"}, 0, false},
		{"another ending", []string{"000001_a.up.sql", "000001_a.down.sql", "000002_b.up.sql.txt"}, 0, false},
		{"a misspelt way", []string{"000001_a.up.sql", "000001_a.dwon.sql"}, 0, false},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			t.Parallel()
			got, err := latest(folder(tt.files...))
			if (err == nil) != tt.ok || got != tt.want {
				t.Errorf("latest = %d, %v; want %d, accepted %v", got, err, tt.want, tt.ok)
			}
		})
	}
}

func TestStepsAreNamedAndPaired(t *testing.T) {
	t.Parallel()
	got, err := latest(FS)
	if err != nil {
		t.Fatal(err)
	}
	if got == 0 {
		t.Error("no steps are embedded")
	}
}
