package api

import (
	"standin"
	"standin/openapi/gen"
)

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
