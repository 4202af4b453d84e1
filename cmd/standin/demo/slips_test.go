package demo

import (
	"slices"
	"strings"
	"testing"

	"standin"
)

// Where one symbol is mis-keyed and the board so shows the pattern recorded for
// another code, the reading is told not to tally, and that symbol is named among
// the likeliest stories; for most such slips no story is likelier.
func TestSlipsAreNamed(t *testing.T) {
	t.Parallel()
	store := catalogue(t)
	for _, name := range []string{"Pavane", "Rondeau"} {
		t.Run(name, func(t *testing.T) {
			t.Parallel()
			f, err := store.PreparedFamily(t.Context(), name)
			if err != nil {
				t.Fatal(err)
			}
			slips, first := 0, 0
			for _, meant := range f.Table.Settings {
				for _, entered := range f.Table.Settings {
					if !oneSymbolApart(meant.Code, entered.Code) || meant.Pattern == "" || entered.Pattern == "" || meant.Pattern.DistanceTo(entered.Pattern) == 0 {
						continue
					}
					slips++
					rank := rankOf(t, store, f, meant, entered)
					if rank == 0 {
						t.Errorf("%v was meant and %v entered: not named", meant.Code, entered.Code)
					}
					if rank == 1 {
						first++
					}
				}
			}
			if slips < 10 || first*5 < slips*4 {
				t.Errorf("of %d slips %d are named first", slips, first)
			}
		})
	}
}

// rankOf is the rank at which the slip is told, 0 where it is not.
func rankOf(t *testing.T, store standin.Catalogue, f *standin.PreparedFamily, meant, entered standin.Setting) int {
	t.Helper()
	v, err := standin.VerifyReading(t.Context(), store, standin.ReadingAsked{
		Family: f.Name, Code: strings.Join(meant.Code, " "), Reading: strings.ReplaceAll(string(entered.Pattern), "-", "?"),
	})
	if err != nil {
		t.Fatal(err)
	}
	if v.Tally != standin.DoesNotTally {
		t.Errorf("%v was meant and %v entered: %s", meant.Code, entered.Code, v.Tally)
	}
	i := slices.IndexFunc(v.Stories, func(s standin.Story) bool {
		return s.Kind == standin.WrongSymbol && slices.Equal(s.Entered, entered.Code) && len(s.Misread) == 0
	})
	if i < 0 {
		return 0
	}
	return v.Stories[i].Rank
}

func oneSymbolApart(a, b []string) bool {
	apart := 0
	for i := range a {
		if a[i] != b[i] {
			apart++
		}
	}
	return apart == 1
}
