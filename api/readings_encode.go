package api

import (
	"standin"
	"standin/openapi/gen"
)

// How many of a list of settings or models are returned.
const (
	mostAlike  = 20
	mostModels = 20
)

// first is the beginning of a list.
func first[T any](all []T, most int) []T { return all[:min(most, len(all))] }

// EncodeVerified is a comparison in the shape of the contract.
func EncodeVerified(v *standin.Verified) gen.Verified {
	encoded := gen.Verified{
		Family: v.Family.Name, Readback: texts(v.Family.Readback), Code: texts(v.Code), Pattern: gen.Pattern(v.Pattern),
		Reading: gen.Reading(v.Reading), Tally: gen.VerifiedTally(v.Tally), Text: v.Text, Caution: v.Tally.Caution(),
		Mismatches: list(v.Mismatches, encodeMismatch), ToRead: texts(v.ToRead),
		Alike: list(first(v.Alike, mostAlike), encodeSetting), AlikeCount: len(v.Alike),
		Trials: list(v.Trials, encodeTrial), Remedy: v.Remedy,
		Predicted: string(v.Predicted), Stories: list(v.Stories, encodeStory), Trust: encodeTrust(&v.Trust),
		Remarks: texts(v.Remarks), CatalogueVersion: v.Family.CatalogueVersion,
	}
	if v.Model != (standin.ModelKey{}) {
		model := encodeKey(v.Model)
		encoded.Model = &model
	}
	return encoded
}

func encodeTrial(t standin.Trial) gen.Trial {
	return gen.Trial{Point: t.Point, Shows: gen.Shown(string(t.Shows)), Excludes: len(t.Excludes), Text: t.Text}
}

func encodeMismatch(m standin.PointMismatch) gen.Mismatch {
	return gen.Mismatch{Point: m.Point, Expected: gen.Shown(string(m.Expected)), Seen: gen.Shown(string(m.Seen))}
}

func encodeStory(s standin.Story) gen.Story {
	return gen.Story{
		Kind: gen.StoryKind(s.Kind), Rank: s.Rank, Place: maybe(standin.Maybe[int]{V: s.Place, Known: s.Place > 0}),
		Entered: texts(s.Entered), Expected: string(s.Expected), Predicted: s.Predicted, Misread: texts(s.Misread),
		Models: list(first(s.Models, mostModels), encodeKey), Unproven: s.Unproven, Cost: s.Cost, Text: s.Text,
	}
}

func encodeSetting(s standin.Setting) gen.Setting {
	return gen.Setting{
		Code: texts(s.Code), Pattern: gen.Pattern(s.Pattern), Models: list(first(s.Models(), mostModels), encodeKey),
	}
}

func encodeNeighbour(n standin.Neighbour) gen.Setting {
	return gen.Setting{Code: texts(n.Code), Pattern: gen.Pattern(n.Pattern), Models: list(n.Models, encodeKey)}
}

func encodeKey(k standin.ModelKey) gen.ModelKey {
	return gen.ModelKey{Brand: k.Brand, Model: k.Model, Variant: k.Variant}
}

func encodeTrust(t *standin.Trust) gen.Trust {
	return gen.Trust{
		Distance: maybe(t.Distance), Nearest: list(t.Nearest, encodeNeighbour), NearestCount: t.NearestCount,
		Unrecorded: t.Unrecorded, Text: t.Text,
	}
}

// EncodeIdentification is what a board may be set for, in the shape of the
// contract.
func EncodeIdentification(i *standin.Identification) gen.Identification {
	encoded := gen.Identification{
		Reading: gen.Reading(i.Reading), Text: i.Text, ExactCount: i.Exact, Compared: i.Compared,
		Settings: list(i.Settings, encodeIdentified),
	}
	if i.Family != nil {
		encoded.Family = i.Family.Name
	}
	return encoded
}

func encodeIdentified(s standin.IdentifiedIn) gen.IdentifiedSetting {
	return gen.IdentifiedSetting{
		Family: s.Family.Name, Readback: texts(s.Family.Readback), Code: texts(s.Code), Pattern: gen.Pattern(s.Pattern),
		Exact: s.Exact, Differs: texts(s.Differs), Counting: s.Counting,
		Models: list(s.FirstModels(), encodeKey), Configurations: s.Count,
	}
}
