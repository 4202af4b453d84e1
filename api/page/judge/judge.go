// Package judge says how what was read of a board at the bench compares with what
// it must show, and what was probably mis-keyed where it does not tally. It asks
// the core and nothing else, so that the same answer can be given in a browser
// without a signal: browser is its program, compiled into static/judge.wasm.gz.
package judge

//go:generate go run generate.go

import (
	"encoding/json"

	"standin"
)

// storiesTold is how many stories are told of a reading that does not tally.
const storiesTold = 5

// Asked is a reading of a job.
type Asked struct {
	Code    []string
	Pattern standin.Pattern
	Reading standin.Reading
	AsItIs  bool // it is judged though points are still to be read
}

// Judged is how a reading compares.
type Judged struct {
	// Missing says which points are still to be read; the rest is empty then.
	Missing string
	Unread  []int // points from 0

	Tally   standin.Tally
	Text    string
	Caution string // empty: the code is proved
	Differs []int  // points from 0 that are not as they must be
	ToRead  bool   // it is incomplete: some points would prove more
	Trials  []string
	Remedy  string // what to do where a point cannot be read
	Stories []Story
}

// Story is what probably went wrong. As likely ones share a rank.
type Story struct {
	Rank int
	Text string
}

// Reading compares a reading with what the code of a job must show. It is judged
// once it is complete, or where it is to be judged as it is.
func Reading(f *standin.PreparedFamily, asked Asked) (Judged, error) {
	reading := asked.Reading
	v := f.Table.Verify(asked.Code, asked.Pattern, reading)
	if !asked.AsItIs && reading.Read() < len(reading) && (len(v.ToRead) > 0 || reading.Read() == 0) {
		return missing(f, reading), nil
	}
	j := Judged{Tally: v.Tally, Text: v.Text, Caution: v.Tally.Caution(), Differs: reading.Mismatches(asked.Pattern)}
	switch v.Tally {
	case standin.Incomplete:
		j.ToRead, j.Remedy = true, v.Remedy
		for _, trial := range v.Trials {
			j.Trials = append(j.Trials, standin.Sentence(trial.Text))
		}
	case standin.DoesNotTally:
		stories, err := f.Table.Diagnose(f.CodeMap(), asked.Code, asked.Pattern, reading, storiesTold)
		if err != nil {
			return Judged{}, err
		}
		for i := range stories {
			j.Stories = append(j.Stories, Story{stories[i].Rank, stories[i].Text})
		}
	}
	return j, nil
}

// missing names every point not read, whether it counts or not: which do would
// tell of the pattern.
func missing(f *standin.PreparedFamily, reading standin.Reading) Judged {
	var j Judged
	var names []string
	for i := range len(reading) {
		if reading[i] == standin.NotRead {
			j.Unread = append(j.Unread, i)
			names = append(names, f.Readback[i])
		}
	}
	j.Missing = "Still to read: " + standin.AndList(names) + "."
	return j
}

// Taken is what a browser takes along to judge the readings of a job.
type Taken struct {
	Family  standin.FamilyRecord
	Version int64 // of the catalogue
	Code    []string
	Pattern standin.Pattern
}

// InJSON judges a reading by what was taken along, both as JSON. The answer is a
// Judged, or an object whose Wrong is a sentence on what cannot be judged.
func InJSON(taken, reading string, asItIs bool) string {
	judged, err := inJSON(taken, reading, asItIs)
	if err != nil {
		return wrong(err)
	}
	text, err := json.Marshal(judged)
	if err != nil {
		return wrong(err)
	}
	return string(text)
}

func inJSON(text, reading string, asItIs bool) (Judged, error) {
	var taken Taken
	if err := json.Unmarshal([]byte(text), &taken); err != nil {
		return Judged{}, err
	}
	family := standin.PrepareFamily(taken.Family, taken.Version)
	read, err := family.ParseReading(reading)
	if err != nil {
		return Judged{}, err
	}
	return Reading(family, Asked{taken.Code, taken.Pattern, read, asItIs})
}

func wrong(err error) string {
	text, _ := json.Marshal(struct{ Wrong string }{err.Error()}) // a text can always be written
	return string(text)
}
