package standin

import "slices"

// Proved is what proves the setting of a board for a build: the code to enter,
// or the one that a board supplied already set was set to, with its pattern.
// None where there is nothing to set, or no code is recorded.
func (b *BuildAnswer) Proved() Proof {
	switch {
	case b.Work == Configure:
		return Proof{Code: b.Code, Pattern: b.Pattern, Procedure: b.Procedure, Source: b.Source}
	case b.Work == AsPreset && b.Proof != nil:
		return *b.Proof
	}
	return Proof{}
}

// proof is what proves the setting in every possible build; none where a board
// supplied already set would have to prove one thing or another.
func (j *Job) proof() Proof {
	first := j.Board.Builds[0].Proved()
	for i := range j.Board.Builds {
		p := j.Board.Builds[i].Proved()
		if !slices.Equal(p.Code, first.Code) || p.Pattern != first.Pattern || p.Procedure != first.Procedure {
			return Proof{}
		}
	}
	return first
}

// ReadsBack reports whether the setting of the board can be read back. A board
// supplied already set is read back too, where it is recorded what it must show:
// one that was returned may have been set again.
func (j *Job) ReadsBack() bool {
	return (j.Work == Configure || j.Work == AsPreset && j.Pattern != "") && j.Family != nil && len(j.Family.Readback) > 0
}

// Provable reports whether a reading can prove the setting: there is something to
// read back, and a pattern that some reading does not have.
func (j *Job) Provable() bool { return j.ReadsBack() && j.Pattern.Definite() > 0 }

// NeedsProof reports whether the board has a setting that must be proved before
// the machine goes back into use.
func (j *Job) NeedsProof() bool { return j.Work != Fixed }

// Steps are those of the procedure that are to be done: a board supplied already
// set is only read back.
func (j *Job) Steps() []Step {
	if j.Procedure == nil {
		return nil
	}
	return slices.DeleteFunc(slices.Clone(j.Procedure.Steps), func(s Step) bool {
		return j.Work == AsPreset && s.Phase != PhaseReadback
	})
}

// Method is how the board is configured; a selector where nothing else is recorded.
func (j *Job) Method() Method {
	if j.Family == nil || j.Family.Method == "" {
		return MethodSelector
	}
	return j.Family.Method
}

// Place is the part of the board that a place of the code, from 0, is set at, as
// "switch 3"; empty for a selector and whatever else has one way in.
func (j *Job) Place(place int) string {
	if !j.Method().words().onBoard {
		return ""
	}
	return j.Method().Place(place+1, len(j.Code))
}

// ToMeasure is the value of the resistor for a place of the code, from 0, with the
// window that a meter must show where its tolerance is recorded: "4.7 kΩ ± 5 %,
// 4465 to 4935 Ω". Empty where it is no resistor, or not one that can be read.
func (j *Job) ToMeasure(place int) string {
	if j.Method() != MethodResistor || place < 0 || place >= len(j.Code) {
		return ""
	}
	r, err := ParseResistor(j.Code[place])
	if err != nil {
		return ""
	}
	low, high := r.Window()
	if !low.Known {
		return r.String()
	}
	return r.String() + ", " + Figure(low.V) + " to " + Figure(high.V) + "\u00a0Ω"
}

// ForGood reports whether it is recorded that what is set cannot be undone.
func (j *Job) ForGood() bool {
	return j.Work == Configure && j.Family != nil && j.Family.Reversible.Known && !j.Family.Reversible.V
}

// Live reports whether the machine is under power while a phase of the procedure
// is worked through. What is set by hand on the board is set with the machine
// isolated; everything else is entered, confirmed and read back on the machine
// as it runs.
func (j *Job) Live(phase Phase) bool {
	byHand := slices.Contains([]Method{MethodSwitches, MethodJumpers, MethodResistor, MethodChip}, j.Method())
	return !byHand || phase == PhaseFinish || phase == PhaseReadback
}

// EverLive reports whether any step to be done is done under power.
func (j *Job) EverLive() bool {
	return slices.ContainsFunc(j.Steps(), func(s Step) bool { return j.Live(s.Phase) })
}

// IfItDoesNotTally is what to do with a board whose reading does not tally, on
// paper where nothing leads on.
const IfItDoesNotTally = "If it does not tally, or a point cannot be read: the setting is not proved. Set it again and read it again. " +
	"Until it tallies the machine must not go back into use."

// UnsureConnection is what to do about a connection that is not certain.
const UnsureConnection = "Where it is not certain which header a plug goes on, compare ways, pitch, key and wires, and the maker's data, before it is joined."

// TakenFor are the connectors that those of a connection may be taken for: plugs
// that look alike and do not carry the same circuits, and headers that the same
// plug seats on.
func (j *Job) TakenFor(h Harness, c *Connection) []string {
	var found []string
	if c.From.Part == "" && h.Layout != nil {
		for i := range h.Layout.Connectors {
			if h.Layout.Connectors[i].Marking == c.From.Connector {
				for _, other := range h.Layout.Lookalikes(i) {
					found = append(found, "plug "+other)
				}
			}
		}
	}
	if c.To.Part != "" {
		return found
	}
	for _, pair := range j.Swappable {
		for i, header := range pair {
			if header == c.To.Connector {
				found = append(found, "header "+pair[1-i])
			}
		}
	}
	return found
}

// Name is what is checked, and of which class where the check is of one.
func (c *AfterRepairCheck) Name() string {
	if c.Class == "" {
		return c.What
	}
	return c.What + ", class " + c.Class
}

// Origin is the source of the limit, and whether it is stated from memory.
func (c *AfterRepairCheck) Origin() string {
	if c.Memory {
		return c.Source + ", stated from memory: compare the standard"
	}
	return c.Source
}
