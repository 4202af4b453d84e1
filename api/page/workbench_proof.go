package page

import (
	"context"

	"standin"
)

// prove takes what was read on to the steps after it, and says at the last one whether
// it proves the setting.
func (p *Pages) prove(ctx context.Context, page *benchPage, j *standin.Job, seen map[int]byte) error {
	if page.Stage.Kind == stageLimits {
		return page.takeOn(j, seen)
	}
	if !j.NeedsProof() {
		if len(seen) > 0 {
			return nothingToRead(j)
		}
		return nil
	}
	page.Proof = unproved(j)
	if !j.Provable() {
		return nil
	}
	reading, fault := readingOf(seen, j.Family)
	if fault != nil {
		return fault
	}
	if reading == "" {
		return nil
	}
	family, err := j.Prepared(ctx, p.config.Catalogue)
	if err != nil {
		return err
	}
	if page.all[page.At-2].Kind == stageLimits {
		page.Back += readPairs(reading)
	}
	v := family.Table.Verify(j.Code, j.Pattern, reading)
	page.Proof.Proved = v.Tally == standin.Tallies
	if page.Note != nil {
		page.Note.Works = page.Proof.Proved
	}
	page.Proof.Text = v.Text
	if caution := v.Tally.Caution(); caution != "" {
		page.Proof.Text += " " + caution
	}
	return nil
}

// unproved leads to where the setting can be proved, as long as nothing was read.
func unproved(j *standin.Job) *proof {
	p := &proof{Again: enterAgain(j), AgainWord: againWord(j)}
	if !j.Provable() {
		p.Text = unprovable(j)
		return p
	}
	p.Read = jobLink("/bench/reading", &j.Answer.Machine, j.Board.PartNumber, j.Board.Revision)
	p.Text = "What the board reads back was not noted at this job: the setting is not proved, and the machine must not go back into use like this."
	return p
}

// takeOn has the links of a step go on with what was read.
func (page *benchPage) takeOn(j *standin.Job, seen map[int]byte) error {
	if len(seen) == 0 {
		return nil
	}
	if !j.ReadsBack() {
		return nothingToRead(j)
	}
	reading, fault := readingOf(seen, j.Family)
	if fault != nil {
		return fault
	}
	page.Next += readPairs(reading)
	if page.all[page.At-2].Kind == stageLimits {
		page.Back += readPairs(reading)
	}
	return nil
}

func nothingToRead(j *standin.Job) error {
	return bad(pointField(0), "board %s has nothing to read back for this machine", j.Board.PartNumber)
}

// unprovable says why no reading can prove the setting.
func unprovable(j *standin.Job) string {
	const caution = " The setting is not proved: the machine must not go back into use on it until it is proved by other means the maker gives."
	switch {
	case j.Family == nil || len(j.Family.Readback) == 0:
		return "Nothing to read back is recorded for boards of this kind." + caution
	case j.Work == standin.AsPreset && len(j.Code) == 0:
		return "What a board supplied set for this model must read back is not recorded." + caution
	case j.Pattern == "":
		return "No pattern is recorded for this code: a reading cannot prove it." + caution
	}
	return "The pattern recorded for this code holds for any reading: it proves nothing." + caution
}
