package demo

import (
	"fmt"
	"maps"
	"slices"
	"strings"
	"testing"

	"standin"
)

// reachable is everything an answer may say that the demo must be able to show.
// Of the eighteen pairs of check and outcome only one cannot occur: a stop is a
// reason that is recorded or is not, so the supply stop is never unknown.
func reachable() map[string]bool {
	all := map[string]bool{}
	for _, v := range []standin.Verdict{standin.Fits, standin.Check, standin.Depends, standin.No} {
		all["verdict "+v.String()] = true
	}
	for _, check := range []string{standin.CheckStop, standin.CheckConfiguration, standin.CheckOptions,
		standin.CheckSupply, standin.CheckConnectors, standin.CheckRatings} {
		for _, o := range []standin.Outcome{standin.Pass, standin.Fail, standin.Unknown} {
			all[check+" "+o.String()] = true
		}
	}
	delete(all, "stop unknown")
	for _, w := range []standin.Work{standin.NoWork, standin.Fixed, standin.AsPreset, standin.Configure} {
		all["work "+string(w)] = true
	}
	for _, thing := range []string{"question plug", "question old_part", "question made", "contradiction made",
		"contradiction serial", "contradiction plug", "contradiction old_part", "not used serial", "not used old_part",
		"connectors pass with 0 adaptors", "connectors pass with 1 adaptors", "connectors pass with 2 adaptors",
		"connectors unknown with 0 adaptors", "connectors unknown with 1 adaptors",
		"question position", "evidence hinted", "availability here", "availability here-if-revision", "availability elsewhere",
		"availability none", "adaptor stock recorded", "adaptor stock not recorded", "preset proved", "method selector", "method switches",
		"method resistor", "method jumpers", "points of digits", "points of colours", "points of lamps", "panel recorded", "cannot be undone",
		"plug missed", "nothing of loads", "swappable", "twin", "label unread", "unknown model", "no pattern", "implied build"} {
		all[thing] = true
	}
	return all
}

func TestEverythingIsReached(t *testing.T) {
	t.Parallel()
	asked := append(expectations(t), modelsAlone(t)...)
	reached := map[string]bool{}
	for _, r := range answers(t, catalogue(t), asked) {
		if r.Err != nil {
			reached["unknown model"] = true
			continue
		}
		for thing := range said(r.Answer) {
			reached[thing] = true
		}
	}
	for _, thing := range slices.Sorted(maps.Keys(reachable())) {
		if !reached[thing] {
			t.Errorf("nothing in the demo shows %s", thing)
		}
	}
	if reached["stop unknown"] {
		t.Error("a supply stop is unknown, which it cannot be")
	}
}

// modelsAlone asks for every model of the bundle, with no evidence.
func modelsAlone(t *testing.T) []expectation {
	t.Helper()
	var all []expectation
	for _, m := range rows(t, "models") {
		all = append(all, expectation{machine: standin.Machine{
			ModelKey: standin.ModelKey{Brand: m["brand"], Model: m["model"], Variant: m["variant"]}}})
	}
	return all
}

// said is what of reachable an answer says.
func said(a *standin.Answer) map[string]bool {
	things := map[string]bool{}
	for _, q := range a.Questions {
		things["question "+q.Kind] = true
	}
	for _, n := range a.NotUsed {
		things["not used "+n.Evidence] = true
	}
	for _, f := range a.Families {
		things["method "+string(f.Method)] = true
		things["panel recorded"] = things["panel recorded"] || f.Panel != nil
		things["cannot be undone"] = things["cannot be undone"] || f.Reversible.Known && !f.Reversible.V
		for point := range f.Readback {
			things[pointsOf(f.PointShows(point))] = true
		}
	}
	if a.Contradiction != nil {
		things["evidence hinted"] = a.Contradiction.Hint != ""
		for _, e := range a.Contradiction.Evidence {
			things["contradiction "+e] = true
		}
	}
	things["plug missed"] = len(a.Machine.NoPlug) > 0
	things["twin"] = a.TwinOf != nil
	things["implied build"] = len(a.Builds) == 1 && a.Builds[0].Label == ""
	for i := range a.Candidates {
		c := &a.Candidates[i]
		things["verdict "+c.Verdict.String()] = true
		things["availability "+c.Availability.String()] = true
		for _, s := range c.AdaptorStock {
			things["adaptor stock "+map[bool]string{true: "recorded", false: "not recorded"}[s.Recorded]] = true
		}
		for _, s := range c.Stock {
			if !s.RevisionKnown {
				things["label unread"] = true
			}
		}
		for j := range c.Builds {
			saidOfBuild(things, &c.Builds[j])
		}
	}
	maps.DeleteFunc(things, func(_ string, yes bool) bool { return !yes })
	return things
}

// pointsOf is what kind of points have an alphabet.
func pointsOf(alphabet string) string {
	switch {
	case alphabet == "10f":
		return "points of lamps"
	case strings.Contains(alphabet, "9"):
		return "points of digits"
	}
	return "points of colours"
}

func saidOfBuild(things map[string]bool, b *standin.BuildAnswer) {
	things["work "+string(b.Work)] = true
	if b.Work == standin.Configure && b.Pattern == "" {
		things["no pattern"] = true
	}
	if b.Proof != nil {
		things["preset proved"] = true
	}
	if len(b.Remarks) > 0 {
		things["nothing of loads"] = true
	}
	if len(b.Swappable) > 0 {
		things["swappable"] = true
	}
	for _, c := range b.Checks {
		things[c.Check+" "+c.Outcome.String()] = true
		if c.Check == standin.CheckConnectors {
			things[fmt.Sprintf("connectors %s with %d adaptors", c.Outcome, len(b.Adaptors))] = true
		}
	}
}
