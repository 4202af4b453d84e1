package page

import (
	"slices"

	"standin"
)

// loadCheck is a load to check before a board is fitted.
type loadCheck struct {
	Circuit string
	Builds  string // for which; empty: for all
	Expect  string // on the meter; empty: no value is known
	Do      string
}

func loadChecks(a *standin.Answer) []loadCheck {
	checks := make([]loadCheck, len(a.BeforeFitting))
	for i := range a.BeforeFitting {
		p := &a.BeforeFitting[i]
		checks[i] = loadCheck{Circuit: p.Circuit, Expect: p.Ohms(), Do: standin.Sentence(p.Text)}
		if len(p.Builds) < len(a.Builds) {
			checks[i].Builds = standin.BuildNames(p.Builds)
		}
	}
	return checks
}

// cautions are those of the answer, a sentence each.
func cautions(a *standin.Answer) []string {
	all := make([]string, len(a.Cautions))
	for i, c := range a.Cautions {
		all[i] = standin.Sentence(c)
	}
	return all
}

// limits are where the values to expect come from, each once.
func limits(a *standin.Answer) []string {
	var all []string
	for i := range a.BeforeFitting {
		if said := standin.Sentence(a.BeforeFitting[i].Source); said != "" && !slices.Contains(all, said) {
			all = append(all, said)
		}
	}
	return all
}
