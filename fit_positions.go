package standin

import (
	"slices"
	"strings"
)

// ControlPosition is the name of the position of the control, which is recorded as
// empty.
const ControlPosition = "control"

// positionName returns the name of a position, in small letters. One that is not
// recorded is the control's.
func positionName(recorded string) string {
	if recorded == "" {
		return ControlPosition
	}
	return strings.ToLower(strings.TrimSpace(recorded))
}

// positionsOf returns the positions that builds are about, each once, the control
// first.
func positionsOf(builds []Build) []string {
	var all []string
	for i := range builds {
		if name := positionName(builds[i].Position); !slices.Contains(all, name) {
			all = append(all, name)
		}
	}
	slices.SortFunc(all, func(a, b string) int {
		if (a == ControlPosition) != (b == ControlPosition) {
			if a == ControlPosition {
				return -1
			}
			return 1
		}
		return strings.Compare(a, b)
	})
	return all
}

// buildNames returns the labels of builds, with the position before those that
// share their label with another.
func buildNames(builds []Build) []string {
	count := map[string]int{}
	for i := range builds {
		count[builds[i].Label]++
	}
	names := make([]string, len(builds))
	for i := range builds {
		b := &builds[i]
		names[i] = b.Label
		if count[b.Label] > 1 {
			names[i] = strings.TrimSpace(positionName(b.Position) + " " + b.Label)
		}
	}
	return names
}

// positionQuestion asks which board is dead, where the possible builds are about
// several.
func (e *evaluation) positionQuestion() []Question {
	positions := positionsOf(e.builds)
	if len(positions) < 2 {
		return nil
	}
	q := Question{Kind: EvidencePosition, Text: "Which board is dead?"}
	for _, at := range positions {
		q.Choices = append(q.Choices, Choice{Answer: at, Text: "the " + at + " board",
			Builds: e.labelsWhere(func(b *Build) bool { return positionName(b.Position) == at })})
	}
	return []Question{q}
}

// heldAt returns the positions from which an old part may have come: those whose
// factory board is of its family or its chain; else its own, where the model has
// builds of that position. It is nil where nothing recorded decides it.
func heldAt(d *Dossier, links chains, p *OldPart) []string {
	var at []string
	own := links.from(p.PartNumber)
	for i := range d.Builds {
		b := &d.Builds[i]
		_, succeeds := own[b.PartNumber]
		_, succeeded := links.from(b.PartNumber)[p.PartNumber]
		if b.PartNumber != "" && (succeeds || succeeded || p.Family != "" && familyOf(d, b.PartNumber) == p.Family) {
			at = append(at, positionName(b.Position))
		}
	}
	if at == nil && p.Position != "" && slices.Contains(positionsOf(d.Builds), positionName(p.Position)) {
		at = []string{positionName(p.Position)}
	}
	return at
}

func familyOf(d *Dossier, part string) string {
	for i := range d.Boards {
		if d.Boards[i].PartNumber == part {
			return d.Boards[i].Family
		}
	}
	return ""
}
