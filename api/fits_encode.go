package api

import (
	"slices"

	"standin"
	"standin/openapi/gen"
)

// EncodeAnswer is the answer in the shape of the contract. Candidates with the
// verdict no are left out unless all is set, and with them the families and
// procedures that only they name.
func EncodeAnswer(a *standin.Answer, all bool) gen.Answer {
	candidates := shownOf(a.Candidates, all)
	first, more := encodeQuestions(a.Questions)
	return gen.Answer{
		Machine:          encodeMachine(a.Machine),
		ModelID:          a.Model.ID,
		ModelKey:         a.Model.Text(),
		TwinOf:           encodeTwin(a.TwinOf),
		CatalogueVersion: a.CatalogueVersion,
		Positions:        texts(a.Positions),
		Builds:           list(a.Builds, encodePossibleBuild),
		Contradiction:    encodeContradiction(a.Contradiction),
		NotUsed:          list(a.NotUsed, encodeNotUsed),
		Question:         first,
		MoreQuestions:    more,
		Candidates:       list(candidates, encodeCandidate),
		Families:         encodeFamilies(candidates, a.Families),
		Procedures:       encodeProcedures(candidates, a.Procedures),
		BeforeFitting:    list(a.BeforeFitting, encodePrecheck),
		Cautions:         texts(a.Cautions),
	}
}

// shownOf are the candidates, those with the verdict no only where all are asked for.
func shownOf(candidates []standin.Candidate, all bool) []standin.Candidate {
	if all {
		return candidates
	}
	return slices.DeleteFunc(slices.Clone(candidates), func(c standin.Candidate) bool { return c.Verdict == standin.No })
}

func encodeMachine(m standin.Machine) gen.Machine {
	return gen.Machine{
		Brand: m.Brand, Model: m.Model, Variant: m.Variant,
		Made: m.Made.Text, Serial: m.Serial, Plug: list(m.Plug, same), NoPlug: list(m.NoPlug, same),
		OldPart: m.OldPart, Position: m.Position, Location: m.Location,
	}
}

func encodePossibleBuild(b standin.Build) gen.PossibleBuild {
	return gen.PossibleBuild{
		Position: b.Position, Build: b.Label, MadeFrom: day(b.Made.From), MadeTo: day(b.Made.To), Layout: layoutName(b.Layout),
		PartNumber: b.PartNumber, Revision: b.Revision,
	}
}

func encodeContradiction(c *standin.Contradiction) *gen.Contradiction {
	if c == nil {
		return nil
	}
	return &gen.Contradiction{
		Evidence: list(c.Evidence, func(e string) gen.Evidence { return gen.Evidence(e) }),
		Reason:   c.Reason,
		Hint:     c.Hint,
	}
}

func encodeNotUsed(n standin.NotUsed) gen.NotUsed {
	return gen.NotUsed{Evidence: gen.Evidence(n.Evidence), Reason: n.Reason}
}

// encodeQuestions is the best question, nil where there is none, and the others.
func encodeQuestions(questions []standin.Question) (*gen.Question, []gen.Question) {
	all := list(questions, func(q standin.Question) gen.Question {
		encoded := gen.Question{Kind: gen.Evidence(q.Kind), Text: q.Text, Choices: list(q.Choices, encodeChoice)}
		if q.Kind != standin.EvidencePosition {
			encoded.Worth, encoded.Seconds, encoded.Needed = &q.Worth, &q.Seconds, &q.Needed
		}
		return encoded
	})
	if len(all) == 0 {
		return nil, all
	}
	return &all[0], all[1:]
}

func encodeChoice(c standin.Choice) gen.Choice {
	return gen.Choice{Answer: c.Answer, Text: c.Text, Builds: texts(c.Builds)}
}

func encodeCandidate(c standin.Candidate) gen.Candidate {
	encoded := gen.Candidate{
		PartNumber: c.PartNumber, Title: c.Title, Revision: c.Revision, Issue: maybe(c.Issue),
		Verdict: encodeVerdict(c.Verdict), Distance: maybe(c.Distance),
		Stock:        list(c.Stock, encodeStockLine),
		AdaptorStock: list(c.AdaptorStock, encodeAdaptorStock),
		Availability: gen.CandidateAvailability(c.Availability.String()),
		Builds:       list(c.Builds, encodeCandidateBuild),
	}
	if c.Fittings != nil {
		encoded.Fittings = encodeCounts(c.Fittings)
	}
	return encoded
}

func encodeVerdict(v standin.Verdict) gen.Verdict { return gen.Verdict(v.String()) }

func encodeStockLine(s standin.StockLine) gen.CandidateStock {
	return gen.CandidateStock{
		Location: s.Location, Condition: gen.Condition(s.Condition), Free: s.Free, RevisionKnown: s.RevisionKnown,
	}
}

func encodeAdaptorStock(s standin.PartStock) gen.AdaptorStock {
	return gen.AdaptorStock{PartNumber: s.PartNumber, Recorded: s.Recorded, Stock: list(s.Stock, func(l standin.StockLine) gen.AdaptorStockLine {
		return gen.AdaptorStockLine{Location: l.Location, Condition: gen.Condition(l.Condition), Free: l.Free}
	})}
}

func encodeCandidateBuild(b standin.BuildAnswer) gen.CandidateBuild {
	encoded := gen.CandidateBuild{
		Build: b.Build, Verdict: encodeVerdict(b.Verdict), Work: gen.CandidateBuildWork(b.Work),
		Family: b.Family, Procedure: b.Procedure, Code: texts(b.Code), Pattern: gen.Pattern(b.Pattern),
		Adaptors:  texts(b.Adaptors),
		Checks:    list(b.Checks, encodeCheck),
		Swappable: pairs(b.Swappable),
		Remarks:   texts(b.Remarks), Proof: encodeProof(b.Proof), Connections: list(b.Connections, encodeConnection),
		Source: b.Source,
	}
	if b.Trust != nil {
		trust := encodeTrust(b.Trust)
		encoded.Trust = &trust
	}
	return encoded
}

func pairs(in [][2]string) [][]string {
	return list(in, func(pair [2]string) []string { return []string{pair[0], pair[1]} })
}

func encodeProof(p *standin.Proof) *gen.Proof {
	if p == nil {
		return nil
	}
	return &gen.Proof{Code: texts(p.Code), Pattern: gen.Pattern(p.Pattern), Procedure: p.Procedure, Source: p.Source}
}

func encodeConnection(c standin.Connection) gen.Connection {
	return gen.Connection{
		From: encodeEnd(c.From), To: encodeEnd(c.To), Ways: maybe(c.Ways), Circuits: maybeList(c.Circuits), Certain: c.Certain,
	}
}

func encodeEnd(e standin.ConnectionEnd) gen.ConnectionEnd {
	return gen.ConnectionEnd{Part: e.Part, Connector: e.Connector}
}

func encodeCheck(c standin.CheckResult) gen.Check {
	return gen.Check{
		Check: gen.CheckCheck(c.Check), Outcome: gen.CheckOutcome(c.Outcome.String()), Reason: c.Reason,
	}
}

func encodePrecheck(p standin.Precheck) gen.Precheck {
	return gen.Precheck{
		Circuit: p.Circuit, Builds: texts(p.Builds), Text: p.Text,
		OhmsLow: hundredths(p.OhmsLow), OhmsHigh: hundredths(p.OhmsHigh), Amps: hundredths(p.Amps),
		Source: p.Source,
	}
}

// encodeFamilies are the families that candidates name, by name.
func encodeFamilies(candidates []standin.Candidate, known map[string]*standin.Family) []gen.Family {
	found := named(candidates, known, func(b standin.BuildAnswer) string { return b.Family })
	return list(found, func(f *standin.Family) gen.Family { return encodeFamily(*f) })
}

// encodeProcedures are the procedures that candidates name, by name.
func encodeProcedures(candidates []standin.Candidate, known map[string]*standin.Procedure) []gen.Procedure {
	found := named(candidates, known, func(b standin.BuildAnswer) string { return b.Procedure })
	return list(found, func(p *standin.Procedure) gen.Procedure {
		return gen.Procedure{Procedure: p.Name, Steps: list(p.Steps, encodeStep)}
	})
}

// named are the known things that the candidates name, by name, each once.
func named[T any](candidates []standin.Candidate, known map[string]*T, name func(standin.BuildAnswer) string) []*T {
	var names []string
	for _, c := range candidates {
		for _, b := range c.Builds {
			names = append(names, name(b))
		}
	}
	slices.Sort(names)
	var found []*T
	for _, n := range slices.Compact(names) {
		if thing := known[n]; thing != nil {
			found = append(found, thing)
		}
	}
	return found
}

// encodeShort is the answer without its reasons. What must not be missed, the
// question, the cautions and the plugs to mark, is there.
func encodeShort(a *standin.Answer, all bool) gen.ShortAnswer {
	question, _ := encodeQuestions(a.Questions)
	return gen.ShortAnswer{
		ModelID: a.Model.ID, ModelKey: a.Model.Text(), TwinOf: encodeTwin(a.TwinOf), CatalogueVersion: a.CatalogueVersion,
		Builds:        list(a.Builds, func(b standin.Build) string { return b.Label }),
		Contradiction: encodeContradiction(a.Contradiction), Question: question,
		Candidates: list(shownOf(a.Candidates, all), encodeShortCandidate),
		Cautions:   texts(a.Cautions),
	}
}

func encodeShortCandidate(c standin.Candidate) gen.ShortCandidate {
	return gen.ShortCandidate{
		PartNumber: c.PartNumber, Revision: c.Revision, Issue: maybe(c.Issue), Verdict: encodeVerdict(c.Verdict),
		Distance: maybe(c.Distance), Stock: list(c.Stock, encodeStockLine), Builds: list(c.Builds, encodeShortBuild),
	}
}

func encodeShortBuild(b standin.BuildAnswer) gen.ShortBuild {
	return gen.ShortBuild{
		Build: b.Build, Verdict: encodeVerdict(b.Verdict), Work: gen.ShortBuildWork(b.Work), Family: b.Family,
		Code: texts(b.Code), Pattern: gen.Pattern(b.Pattern), Adaptors: texts(b.Adaptors), Swappable: pairs(b.Swappable),
	}
}
