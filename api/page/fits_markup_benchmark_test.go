package page

import (
	"html/template"
	"io"
	"testing"

	"standin"
)

// BenchmarkChecks renders the checks of one ticket by markup and, in the same
// run, by a template that is given ready strings: why tickets are not templates.
func BenchmarkChecks(b *testing.B) {
	a := &standin.Answer{Builds: make([]standin.Build, 2)}
	c := &standin.Candidate{Verdict: standin.Fits}
	for _, build := range []string{"b1", "b2"} {
		answer := standin.BuildAnswer{Build: build}
		for _, name := range []string{"stop", "configuration", "options", "supply", "connectors", "ratings"} {
			answer.Checks = append(answer.Checks, standin.CheckResult{Check: name, Outcome: standin.Pass, Reason: "what is recorded of both in " + build})
		}
		c.Builds = append(c.Builds, answer)
	}
	type reason struct{ Outcome, Text, Builds string }
	list := template.Must(template.New("checks").Parse(`<ul class="checks">{{range .}}<li class="o-{{.Outcome}}"><b>{{.Outcome}}</b> {{.Text}}{{with .Builds}} <small>{{.}}</small>{{end}}</li>{{end}}</ul>`))
	b.Run("markup", func(b *testing.B) {
		for b.Loop() {
			var m markup
			m.checks(a, c, standin.Fail, standin.Unknown, standin.Pass)
			if m.done() == "" {
				b.Fatal("nothing is rendered")
			}
		}
	})
	b.Run("template", func(b *testing.B) {
		for b.Loop() {
			var reasons []reason
			for _, outcome := range []standin.Outcome{standin.Fail, standin.Unknown, standin.Pass} {
				for _, r := range c.Reasons(outcome) {
					one := reason{Outcome: outcome.String(), Text: r.Check + ": " + standin.Sentence(r.Text)}
					if len(r.Builds) < len(a.Builds) {
						one.Builds = "(" + standin.BuildNames(r.Builds) + ")"
					}
					reasons = append(reasons, one)
				}
			}
			if err := list.Execute(io.Discard, reasons); err != nil {
				b.Fatal(err)
			}
		}
	})
}
