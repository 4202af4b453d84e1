package tell

import (
	"fmt"
	"strconv"
	"strings"

	"standin"
)

// Verified is a reading compared with what it should be and, where it does not
// tally, how that may have come about.
func Verified(v *standin.Verified) string {
	p := &page{}
	head := "Family " + v.Family.Name
	if v.Model != (standin.ModelKey{}) {
		head += ", set for " + v.Model.String()
	}
	p.line(0, head)
	if len(v.Code) > 0 {
		p.item(bodyIndent, "code", keys(v.Code))
	}
	if v.Pattern != "" {
		p.item(bodyIndent, "must show", columns(pointWords(string(v.Pattern), &v.Family.Family, "")))
	}
	p.item(bodyIndent, "was read", columns(pointWords(string(v.Reading), &v.Family.Family, "not read")))
	for _, r := range v.Remarks {
		p.item(bodyIndent, "note", r)
	}
	p.blank()
	p.line(0, v.Text)
	if caution := v.Tally.Caution(); caution != "" {
		p.line(0, caution)
	}
	if v.Remedy != "" {
		p.line(0, v.Remedy)
	}
	tellPredicted(p, v)
	tellStories(p, v)
	if v.Pattern != "" {
		p.blank()
		p.line(0, "How far the pattern can be trusted: "+v.Trust.Text)
	}
	return p.String()
}

// tellPredicted offers what the code map expects where nothing is recorded.
func tellPredicted(p *page, v *standin.Verified) {
	if strings.Trim(string(v.Predicted), "?") == "" {
		return
	}
	p.blank()
	p.line(0, "Going by the other codes of the family it would show, predicted and not recorded:")
	p.line(bodyIndent, columns(pointWords(string(v.Predicted), &v.Family.Family, "not known")))
}

func tellStories(p *page, v *standin.Verified) {
	if v.Tally != standin.DoesNotTally {
		return
	}
	p.blank()
	if len(v.Stories) == 0 {
		p.line(0, "No single slip accounts for it; enter the code again and read it back.")
		return
	}
	p.line(0, "What probably happened, likeliest first; none of it is sure:")
	for i, s := range v.Stories {
		lead := strconv.Itoa(s.Rank)
		if i > 0 && v.Stories[i-1].Rank == s.Rank {
			lead = "="
		}
		p.hanging(strings.Repeat(nbsp, bodyIndent)+lead, bodyIndent+4, standin.Sentence(s.Text))
	}
}

// Identification is what a board may be set for.
func Identification(i *standin.Identification) string {
	p := &page{}
	p.line(0, i.Text)
	for n := range i.Settings {
		p.blank()
		tellIdentified(p, &i.Settings[n])
	}
	if told := len(i.Settings); told > 0 && told < i.Exact {
		p.blank()
		p.line(0, fmt.Sprintf("%d more are as read; --limit shows more, more points read tell them apart.", i.Exact-told))
	}
	return p.String()
}

func tellIdentified(p *page, s *standin.IdentifiedIn) {
	how := "as read at " + count(s.Counting, "point", "points")
	if !s.Exact {
		how = "not as read"
	}
	p.ends(0, "Family "+s.Family.Name+" "+keys(s.Code), how)
	if len(s.Differs) > 0 {
		p.item(bodyIndent, "differs", "at "+list(s.Differs, "and"))
	}
	p.item(bodyIndent, "set for", modelNames(s))
}

// modelsNamed is how many models a setting is told with.
const modelsNamed = 8

func modelNames(s *standin.IdentifiedIn) string {
	models := s.FirstModels()
	var names []string
	for _, m := range models[:min(modelsNamed, len(models))] {
		names = append(names, bound(m.String()))
	}
	text := strings.Join(names, ", ")
	if more := s.Count - len(s.Configurations); more > 0 || len(models) > modelsNamed {
		text += " and more"
	}
	return text
}
