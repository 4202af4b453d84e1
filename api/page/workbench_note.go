package page

import (
	"encoding/json"

	"standin"
)

// note is where it is noted that the board was fitted, once the script is there.
type note struct {
	Send    string // address
	Fitting string // what is known of it already, as the API takes it
	Works   bool   // whether it may be noted that it works: no reading is left that would prove it
}

// fittingKnown is a fitting as far as a job tells of it, under the names of the API.
type fittingKnown struct {
	Brand      string   `json:"brand"`
	Model      string   `json:"model"`
	Variant    string   `json:"variant,omitempty"`
	Made       string   `json:"made,omitempty"`
	Serial     string   `json:"serial,omitempty"`
	Plug       []int    `json:"plug,omitempty"`
	OldPart    string   `json:"old_part,omitempty"`
	Build      string   `json:"build,omitempty"`
	PartNumber string   `json:"part_number"`
	Revision   string   `json:"revision,omitempty"`
	Code       []string `json:"code,omitempty"`
}

// noteOf is the note of a job. A build is named where it is the only one left.
func noteOf(j *standin.Job) *note {
	m := &j.Answer.Machine
	known := fittingKnown{
		Brand: m.Brand, Model: m.Model, Variant: m.Variant, Made: m.Made.Text, Serial: m.Serial, Plug: m.Plug, OldPart: m.OldPart,
		PartNumber: j.Board.PartNumber, Revision: j.Board.Revision, Code: j.Code,
	}
	if len(j.Answer.Builds) == 1 {
		known.Build = j.Answer.Builds[0].Label
	}
	text, err := json.Marshal(known)
	if err != nil {
		panic(err) // texts and numbers can always be written
	}
	return &note{Send: sendPath, Fitting: string(text), Works: !j.Provable()}
}
