package page

import (
	"fmt"
	"strings"
	"unicode/utf8"

	"standin"
)

// longestDeed is how many characters of an instruction may stand as the name of its
// step: two lines on a phone.
const longestDeed = 64

// stepsOf are the steps of the procedure that have a screen of their own, and those of
// reading back, which are said beside what is read: some are held meanwhile, some are
// done after it.
func stepsOf(j *standin.Job) (own, reading []standin.Step) {
	if !j.ReadsBack() {
		return j.Steps(), nil
	}
	for _, s := range j.Steps() {
		if s.Phase == standin.PhaseReadback {
			reading = append(reading, s)
		} else {
			own = append(own, s)
		}
	}
	return own, reading
}

func stepStage(j *standin.Job, step standin.Step) stage {
	s := stage{Kind: stageConfigure, Warnings: settingWarnings(j, step.Phase), Live: j.Live(step.Phase), Expect: standin.Sentence(step.Expect)}
	s.Name, s.Do = deed(step)
	now := -1
	if step.Phase == standin.PhaseSymbol {
		now = step.Step - 1
		if now >= 0 && now < len(j.Code) {
			s.Name, s.Do = symbolDeed(j, now), instruction(step)
			if value := j.ToMeasure(now); value != "" {
				s.Expect = strings.TrimSpace(standin.Sentence(value) + " " + s.Expect)
			}
		}
	}
	if step.Phase != standin.PhaseReadback {
		s.Keys = keysOf(j, now)
	}
	return s
}

// instruction is what a step says to do, and for how long.
func instruction(step standin.Step) string {
	text := standin.Sentence(step.Do)
	if hold := holdFor(step); hold != "" {
		text += " " + hold
	}
	return text
}

func holdFor(step standin.Step) string {
	if hold, ok := step.HoldSeconds.Get(); ok && hold > 0 {
		return "Hold for " + standin.Figure(hold) + "\u00a0s."
	}
	return ""
}

// deed names a step by what is done at it, and returns what else there is to say: all
// of the instruction where its name is only its beginning.
func deed(step standin.Step) (name, rest string) {
	name = strings.TrimSuffix(standin.Sentence(step.Do), ".")
	if utf8.RuneCountInString(name) <= longestDeed && !strings.Contains(name, ". ") {
		return name, holdFor(step)
	}
	for _, end := range []string{". ", "; ", ": ", ", ", " ("} {
		if head, _, cut := strings.Cut(name, end); cut && utf8.RuneCountInString(head) <= longestDeed {
			return head, instruction(step)
		}
	}
	words := strings.Fields(name)
	short := words[0]
	for _, word := range words[1:] {
		if utf8.RuneCountInString(short+" "+word) >= longestDeed {
			break
		}
		short += " " + word
	}
	return short + "…", instruction(step)
}

// symbolDeed names the step at which a symbol of the code, from 0, is set.
func symbolDeed(j *standin.Job, place int) string {
	at := j.Place(place)
	switch {
	case at == "":
		return fmt.Sprintf("Enter %s, symbol %d of %d", j.Code[place], place+1, len(j.Code))
	case j.Method() == standin.MethodResistor:
		return "Fit " + at + ": " + j.Code[place]
	}
	return "Set " + at + ": " + j.Code[place]
}
