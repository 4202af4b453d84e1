package page

import (
	"net/url"
	"strings"

	"standin"
)

// link is an address with the parameters that are not empty, in pairs of name
// and value.
func link(path string, pairs ...string) string {
	var b strings.Builder
	b.WriteString(path)
	joint := byte('?')
	for i := 0; i < len(pairs); i += 2 {
		if pairs[i+1] != "" {
			b.WriteByte(joint)
			b.WriteString(pairs[i])
			b.WriteByte('=')
			b.WriteString(url.QueryEscape(pairs[i+1]))
			joint = '&'
		}
	}
	return b.String()
}

func counterLink(location string) string { return link("/", "location", location) }

func helpLink(location string) string { return link("/help", "location", location) }

func boardLink(partNumber, location string) string {
	return link("/board", "part_number", partNumber, "location", location)
}

// identifyLink returns the address of the page that identifies what a used board of a
// family is set for.
func identifyLink(family string) string { return link("/identify", "family", family) }

// machinePairs are the parameters of a machine.
func machinePairs(m *standin.Machine) []string {
	return []string{"brand", m.Brand, "model", m.Model, "variant", m.Variant, "made", m.Made.Text, "serial", m.Serial,
		"plug", standin.PlugText(m.Plug, m.NoPlug), "old_part", m.OldPart, "position", m.Position, "location", m.Location}
}

// fitsLink is the address of the answer for a machine.
func fitsLink(m *standin.Machine) string { return link("/fits", machinePairs(m)...) }

// modelLink is the address of the answer for a model nothing more is known of.
func modelLink(key standin.ModelKey, location string) string {
	return fitsLink(&standin.Machine{ModelKey: key, Location: location})
}

// jobLink is the address of a page about one board in one machine.
func jobLink(path string, m *standin.Machine, partNumber, revision string) string {
	return link(path, append(machinePairs(m), "part_number", partNumber, "revision", revision)...)
}
