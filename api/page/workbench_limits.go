package page

import (
	"fmt"
	"slices"
	"strings"

	"standin"
)

// limitsAtOnce is how many checks after repair fit on the screen of a phone.
const limitsAtOnce = 3

// limitStages have the checks to be made before the machine is handed back, by its
// class of protection, as many at a time as are seen at once.
func limitStages(j *standin.Job) []stage {
	class := j.Answer.Model.Class
	do := "Class " + class + ", before the machine is handed back."
	if class == "" {
		do = "The class of protection is not recorded: take it from the plate."
	}
	all := slices.Collect(slices.Chunk(j.AfterRepair(), limitsAtOnce))
	var stages []stage
	for n, checks := range all {
		s := stage{Kind: stageLimits, Name: fmt.Sprintf("Check after repair, %d of %d", n+1, len(all)), Do: do}
		var names, sources []string
		for i := range checks {
			c := &checks[i]
			s.Limits = append(s.Limits, limit{standin.Sentence(c.Name()), standin.Sentence(c.Limit), standin.Sentence(c.Test)})
			s.Points = append(s.Points, standin.Sentence(c.Name()+": "+c.Limit)+" "+standin.Sentence(c.Test))
			names = append(names, c.Name())
			if !slices.Contains(sources, c.Origin()) {
				sources = append(sources, c.Origin())
			}
		}
		s.About = standin.AndList(names)
		s.Source = standin.Sentence("limits: " + strings.Join(sources, "; ") + "; guidance: local rules and the maker's data come first")
		stages = append(stages, s)
	}
	return stages
}
