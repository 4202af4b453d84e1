package importer

import (
	"regexp"
	"strings"

	"standin"
	"standin/importer/table"
)

// parseVolts reads rated voltages as a plate states them, and returns them as a
// bundle writes them.
func parseVolts(text string) (string, *table.Fault) {
	volts, err := standin.ParseVolts(text)
	if err != nil {
		return "", table.BadValue("%s is not a rated voltage; write it as 230, 220-240 or 110-120/220-240", table.Quoted(text)).Correct(asVolts(text))
	}
	for _, r := range volts.V {
		if r.High > largest {
			return "", tooFar(text)
		}
	}
	return standin.VoltsText(volts), nil
}

var (
	voltsUnit  = regexp.MustCompile(`(?i)\s*(v|volts?)?\s*(ac|dc|~)?\s*$`)
	rangeSigns = strings.NewReplacer("–", "-", "—", "-", "−", "-", "~", "-", "...", "-", "…", "-", " to ", "-", " ", "")
)

// asVolts returns the rated voltage that was meant by text of another form, "" where
// that is not certain.
func asVolts(text string) string {
	fixed := rangeSigns.Replace(voltsUnit.ReplaceAllString(text, ""))
	volts, err := standin.ParseVolts(fixed)
	if err != nil {
		return ""
	}
	return standin.VoltsText(volts)
}
