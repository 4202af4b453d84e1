package tell

import (
	"strings"
	"testing"

	"standin"
)

// What was not compared is told though the board fits.
func TestRemark(t *testing.T) {
	t.Parallel()
	in := func(build string, remarks ...string) standin.BuildAnswer {
		return standin.BuildAnswer{Build: build, Verdict: standin.Fits, Work: standin.Fixed, Remarks: remarks}
	}
	a := &standin.Answer{Builds: []standin.Build{{Label: "b1"}, {Label: "b2"}}, Candidates: []standin.Candidate{{
		PartNumber: "70-1", Revision: "A", Verdict: standin.Fits, Builds: []standin.BuildAnswer{in("b1", "not compared"), in("b2")}}}}
	if got := Answer(a, Detail{}); !strings.Contains(got, "remark     Not compared. (build b1)") {
		t.Errorf("the remark is not told:\n%s", got)
	}
	a.Candidates[0].Builds[0].Remarks = nil
	if got := Answer(a, Detail{}); strings.Contains(got, "remark") {
		t.Errorf("there is nothing to remark:\n%s", got)
	}
}
