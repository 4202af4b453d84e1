package api

import (
	"cmp"
	"math"
	"slices"

	"standin"
	"standin/openapi/gen"
)

// list is never nil, so that JSON has [] for a list that holds nothing.
func list[T, U any](in []T, encode func(T) U) []U {
	out := make([]U, len(in))
	for i, v := range in {
		out[i] = encode(v)
	}
	return out
}

func same[T any](v T) T { return v }

func texts(in []string) []string { return list(in, same) }

// maybe is nil for what is not recorded.
func maybe[T any](m standin.Maybe[T]) *T {
	if !m.Known {
		return nil
	}
	return &m.V
}

// maybeList is nil for what is not recorded; a recorded "none" is [].
func maybeList[T any](m standin.Maybe[[]T]) *[]T {
	m.V = list(m.V, same)
	return maybe(m)
}

// hundredths is a measured value as people write it: no meter at a bench shows more.
func hundredths(m standin.Maybe[float64]) *float64 {
	m.V = math.Round(m.V*100) / 100
	return maybe(m)
}

// day is a date as ISO 8601, empty where it is open.
func day(d standin.Maybe[standin.Date]) gen.Day {
	if !d.Known {
		return ""
	}
	return d.V.String()
}

func layoutName(l *standin.Layout) string {
	if l == nil {
		return ""
	}
	return l.Name
}

// layouts are those given, each once, by name.
func layouts(in []*standin.Layout) []gen.Layout {
	in = slices.DeleteFunc(in, func(l *standin.Layout) bool { return l == nil })
	slices.SortFunc(in, func(a, b *standin.Layout) int { return cmp.Compare(a.Name, b.Name) })
	in = slices.CompactFunc(in, func(a, b *standin.Layout) bool { return a.Name == b.Name })
	return list(in, func(l *standin.Layout) gen.Layout {
		return gen.Layout{Layout: l.Name, Connectors: list(l.Connectors, encodeConnector)}
	})
}

func encodeConnector(c standin.Connector) gen.Connector {
	return gen.Connector{
		Connector: c.Marking, Ways: maybe(c.Ways), PitchMM: maybe(c.PitchMM), Key: c.Key.Or(""),
		Circuits: maybeList(c.Circuits),
	}
}
