package standin

import (
	"cmp"
	"slices"
	"strings"
)

// Trial is an unread point that would distinguish the code that was meant from
// others that the reading does not exclude either.
type Trial struct {
	Point    string
	Shows    byte      // what it must show for the code that was meant
	Excludes []Setting // the settings of Verification.Alike that it would then exclude
	Text     string    // "K3 is lit for A B, not for A C"
}

// trials returns the unread points that would exclude some of the settings in
// alike, those that exclude most first.
func (t *Table) trials(code []string, pattern Pattern, reading Reading, alike []Setting) []Trial {
	var trials []Trial
	for i := range len(pattern) {
		if reading[i] != NotRead || pattern[i] == ShowsEither {
			continue
		}
		trial := Trial{Point: t.Family.Readback[i], Shows: pattern[i]}
		var others []string
		for _, s := range alike {
			if s.Pattern[i] != ShowsEither && s.Pattern[i] != pattern[i] {
				trial.Excludes = append(trial.Excludes, s)
				others = append(others, s.code)
			}
		}
		if len(others) > 0 {
			trial.Text = trial.Point + " " + doesShow(t.Family.Shown(i, pattern[i])) + " for " + strings.Join(code, " ") +
				", not for " + AndList(firstFew(others))
			trials = append(trials, trial)
		}
	}
	slices.SortStableFunc(trials, func(a, b Trial) int { return cmp.Compare(len(b.Excludes), len(a.Excludes)) })
	return trials
}

// firstFew returns the first names and how many more there are.
func firstFew(names []string) []string {
	const most = 3
	if len(names) <= most {
		return names
	}
	return append(slices.Clone(names[:most]), whole(len(names)-most)+" more")
}

// remedy says how a reading that does not contradict the code can still prove it
// where points cannot be read. It is empty where the code is proved.
func (v *Verification) remedy(method Method) string {
	if len(v.Alike) == 0 && v.Tally != Incomplete {
		return ""
	}
	again := "clear the board and have the code " + method.Entered() + " once more, so that the same slip is not made twice"
	if len(v.Alike) == 0 {
		return "No recorded code but this is as read so far; read what is left. If a point cannot be read at all, " + again + ", and read again."
	}
	var codes []string
	for i := range v.Alike {
		codes = append(codes, v.Alike[i].code)
	}
	text := "Not excluded: " + AndList(firstFew(codes)) + "."
	if len(v.Trials) == 0 {
		return text + " No point that is left tells them apart: " + again + "."
	}
	text += " What separates them: " + v.Trials[0].Text + "."
	if separated := len(v.Trials[0].Excludes); separated < len(v.Alike) {
		text += " That leaves " + whole(len(v.Alike)-separated) + "."
	}
	return text + " If it cannot be read, " + again + "."
}
