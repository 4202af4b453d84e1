package standin_test

import (
	"testing"

	"standin"

	"github.com/google/go-cmp/cmp"
)

// asked is the kinds and texts of questions.
func asked(a standin.Answer) []string {
	var words []string
	for _, q := range a.Questions {
		words = append(words, q.String())
	}
	return words
}

func TestQuestionsThatSettleIt(t *testing.T) {
	t.Parallel()
	d := cutIn()
	d.Boards = []standin.Board{board("P1", "F"), board("P2", "F")}
	d.Boards[0].Revisions[0].Layout = d.Builds[0].Layout
	d.Boards[1].Revisions[0].Layout = d.Builds[1].Layout
	want := []string{
		"Is there a plug with 10 ways on the harness? (yes, one with 10 ways: b1; no, there is none: b2)",
		"Is there a plug with 6 ways on the harness? (yes, one with 6 ways: b2; no, there is none: b1)",
		"Is there a plug with 2 ways on the harness? (yes, one with 2 ways: b2; no, there is none: b1)",
		"Which number is on the board that came out? (P1: b1; P2: b2)",
		"Was the machine made before 2003-06-01? (before 2003-06-01: b1; on 2003-06-01 or later: b1 b2)",
	}
	a := standin.Fit(d, standin.Machine{})
	if diff := cmp.Diff(want, asked(a)); diff != "" {
		t.Error(diff)
	}
	if got := asked(standin.Fit(d, standin.Machine{Plug: []int{10}})); got != nil {
		t.Errorf("one build is left, but asked %q", got)
	}
}

func TestNoQuestionWhereAnswersDoNotDiffer(t *testing.T) {
	t.Parallel()
	d := cutIn()
	d.Builds[1].Layout = d.Builds[0].Layout
	d.Boards = []standin.Board{board("P1", "F")}
	d.Boards[0].Revisions[0].Layout = d.Builds[0].Layout
	if got := asked(standin.Fit(d, standin.Machine{})); got != nil {
		t.Errorf("the builds are answered alike, but asked %q", got)
	}
}

func TestUnrecordedBuildsStayInEveryChoice(t *testing.T) {
	t.Parallel()
	d := cutIn()
	d.Builds = append(d.Builds, standin.Build{Label: "b3"})
	d.Boards = []standin.Board{board("P1", "F")}
	for _, q := range standin.Fit(d, standin.Machine{}).Questions {
		if q.Kind != standin.EvidencePlug && q.Kind != standin.EvidenceMade {
			continue
		}
		for _, c := range q.Choices {
			if c.Builds[len(c.Builds)-1] != "b3" {
				t.Errorf("%s: the choice %q loses the build of which nothing is recorded", q, c.Text)
			}
		}
	}
}
