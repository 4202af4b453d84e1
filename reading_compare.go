package standin

import (
	"context"
	"fmt"
	"slices"
	"strings"
)

// comparison finds what a reading is to be compared with.
type comparison struct {
	asked   ReadingAsked
	dossier *Dossier // of the model; nil: none was named
	issue   Maybe[int]
	family  *PreparedFamily
}

// load finds the model, the board and the family that are named.
func (a *comparison) load(ctx context.Context, c Catalogue) (err error) {
	q := &a.asked
	switch {
	case (q.Brand == "") != (q.ModelKey.Model == ""):
		return badAsked("model", "a model is named by its brand and its number; give brand and model")
	case q.Brand == "" && (q.Build != "" || q.Variant != ""):
		return badAsked("model", "a build or a variant is one of a model; give brand and model too")
	case q.Brand == "" && q.Code == "":
		return badAsked("code", "nothing says what the reading should be; give the code, or brand and model")
	case q.Revision != "" && q.PartNumber == "":
		return badAsked("part_number", "a revision is one of a board; give part_number too")
	}
	if q.Brand != "" {
		if a.dossier, err = dossierOf(ctx, c, q.ModelKey); err != nil {
			return err
		}
	}
	name, err := a.familyName(ctx, c)
	if err != nil {
		return err
	}
	a.family, err = c.PreparedFamily(ctx, name)
	return err
}

func dossierOf(ctx context.Context, c Catalogue, key ModelKey) (*Dossier, error) {
	dossiers, err := c.Dossiers(ctx, []Machine{{ModelKey: key}})
	if err != nil {
		return nil, err
	}
	if dossiers[0] == nil {
		unknown, err := unknownModel(ctx, c, key)
		if err != nil {
			return nil, err
		}
		return nil, unknown
	}
	return dossiers[0], nil
}

// familyName is the family that is named, that of the board, or the only one
// that has a code for the model.
func (a *comparison) familyName(ctx context.Context, c Catalogue) (string, error) {
	q := &a.asked
	if q.PartNumber != "" {
		return a.familyOfBoard(ctx, c)
	}
	if q.Family != "" {
		return q.Family, nil
	}
	if a.dossier == nil {
		return "", badAsked("family", "a code is one of a family; give family or part_number")
	}
	var names []string
	for _, configuration := range a.dossier.Configurations {
		names = append(names, configuration.Family)
	}
	slices.Sort(names)
	switch names = slices.Compact(names); len(names) {
	case 0:
		return "", badAsked("model", "no code is recorded for %s", a.dossier.Model.ModelKey)
	case 1:
		return names[0], nil
	}
	return "", badAsked("family", "%s has codes for several families (%s); give family or part_number",
		a.dossier.Model.ModelKey, strings.Join(names, ", "))
}

func (a *comparison) familyOfBoard(ctx context.Context, c Catalogue) (string, error) {
	q := &a.asked
	board, err := c.BoardOf(ctx, q.PartNumber)
	switch {
	case err != nil:
		return "", err
	case board.Family == "":
		return "", badAsked("part_number", "%s is a fixed board: it has no code, and nothing to read back", board.PartNumber)
	case q.Family != "" && q.Family != board.Family:
		return "", badAsked("family", "%s is a board of family %s, not %s; give one of them", board.PartNumber, board.Family, q.Family)
	case q.Revision == "":
		return board.Family, nil
	}
	var labels []string
	for _, r := range board.Revisions {
		if r.Label == q.Revision {
			a.issue = r.Issue
			return board.Family, nil
		}
		labels = append(labels, r.Label)
	}
	return "", badAsked("revision", "board %s has no revision %s%s", board.PartNumber, q.Revision, inBrackets(labels))
}

// code returns the code that was given, nil for none.
func (a *comparison) code() ([]string, error) {
	if a.asked.Code == "" {
		return nil, nil
	}
	return a.family.ParseCode(a.asked.Code)
}

// choose sets the code and the pattern that the reading is compared with.
func (a *comparison) choose(v *Verified) error {
	if a.dossier == nil {
		return a.chooseByCode(v)
	}
	return a.chooseByModel(v)
}

// chooseByCode takes the pattern recorded for the code; of several the one
// nearest to the reading, and says so.
func (a *comparison) chooseByCode(v *Verified) error {
	var patterns []Pattern
	settings := a.family.Table.settingsOf(a.family.Table.onDial(v.Code))
	for _, s := range settings {
		if s.Pattern != "" {
			patterns = append(patterns, s.Pattern)
		}
	}
	if len(settings) == 0 {
		v.Remarks = append(v.Remarks, fmt.Sprintf("No configuration of family %s has the code %s.", a.family.Name, strings.Join(v.Code, " ")))
	}
	if len(patterns) == 0 {
		return nil
	}
	v.Pattern = slices.MinFunc(patterns, func(x, y Pattern) int { return len(v.Reading.Mismatches(x)) - len(v.Reading.Mismatches(y)) })
	if len(patterns) > 1 {
		v.Remarks = append(v.Remarks, fmt.Sprintf("The catalogue has %d patterns for this code; the reading is compared with the one nearest to it, %s. Give brand and model to be sure.",
			len(patterns), v.Pattern))
	}
	return nil
}

// chooseByModel takes what is recorded for the model, the build and the issue,
// as far as they are given.
func (a *comparison) chooseByModel(v *Verified) error {
	v.Model = a.dossier.Model.ModelKey
	if err := a.knowsBuild(); err != nil {
		return err
	}
	all := a.recorded(v.Code)
	if len(all) == 0 {
		return badAsked("model", "no code of family %s is recorded for %s", a.family.Name, a.described(v.Code))
	}
	v.Code, v.Pattern = all[0].Code, all[0].Pattern
	for i := range all {
		if !slices.Equal(all[i].Code, v.Code) || all[i].Pattern != v.Pattern {
			return a.ambiguous(all)
		}
	}
	return nil
}

// knowsBuild returns an error where the model has no build of the label given.
func (a *comparison) knowsBuild() error {
	if a.asked.Build == "" {
		return nil
	}
	var labels []string
	for i := range a.dossier.Builds {
		labels = append(labels, a.dossier.Builds[i].Label)
	}
	if slices.Contains(labels, a.asked.Build) {
		return nil
	}
	return badAsked("build", "%s has no build %s%s", a.dossier.Model.ModelKey, a.asked.Build, inBrackets(labels))
}

// recorded returns the model's configurations for what is given. Those of a build
// come before those for all builds.
func (a *comparison) recorded(code []string) []Configuration {
	var own, general []Configuration
	for _, c := range a.dossier.Configurations {
		switch {
		case c.Family != a.family.Name || code != nil && !slices.Equal(c.Code, code):
		case a.issue.Known && c.holds(a.issue) == Fail:
		case c.Build == "":
			general = append(general, c)
		case a.asked.Build == "" || c.Build == a.asked.Build:
			own = append(own, c)
		}
	}
	if a.asked.Build == "" {
		return append(own, general...)
	}
	if len(own) > 0 {
		return own
	}
	return general
}

// described names the model with what else is given.
func (a *comparison) described(code []string) string {
	text := a.dossier.Model.ModelKey.String()
	if a.asked.Build != "" {
		text += ", build " + a.asked.Build
	}
	if a.issue.Known {
		text += fmt.Sprintf(", issue %d", a.issue.V)
	}
	if code != nil {
		text += ", with the code " + strings.Join(code, " ")
	}
	return text
}

// ambiguous returns the error that asks for what distinguishes the configurations.
func (a *comparison) ambiguous(all []Configuration) error {
	field, give := "revision", "part_number with its revision, or the code"
	builds := map[string]bool{}
	var codes []string
	for i := range all {
		builds[all[i].Build] = true
		codes = append(codes, strings.Join(all[i].Code, " "))
	}
	if len(builds) > 1 {
		field, give = "build", "build, or the code"
	}
	slices.Sort(codes)
	codes = slices.Compact(codes)
	if len(codes) == 1 {
		return badAsked(field, "several patterns of family %s are recorded for %s and the code %s; give %s",
			a.family.Name, a.described(nil), codes[0], strings.TrimSuffix(give, ", or the code"))
	}
	return badAsked(field, "several codes of family %s are recorded for %s (%s); give %s",
		a.family.Name, a.described(nil), strings.Join(codes, ", "), give)
}

func badAsked(field, format string, args ...any) error {
	return &Error{Code: CodeBadRequest, Field: field, Message: fmt.Sprintf(format, args...)}
}
