package api

import (
	"standin"
	"standin/openapi/gen"
)

func encodeCodeMap(m *standin.CodeMap) gen.CodeMap {
	points := make([]gen.PointMap, len(m.Points))
	for i := range m.Points {
		points[i] = encodePointMap(&m.Points[i])
	}
	return gen.CodeMap{Points: points}
}

func encodePointMap(p *standin.PointMap) gen.PointMap {
	encoded := gen.PointMap{
		Point: p.Point, Kind: gen.PointMapKindExact, Places: list(p.Places, same), Rows: p.Rows, LeaveOut: p.LeaveOut,
		G3: p.G3(), Shared: p.Shared, Text: p.Text(), Cells: list(p.Cells(), encodeCell),
	}
	switch {
	case len(p.Places) == 0:
		encoded.Kind = gen.PointMapKindUnknown
	case p.LeaveOut > 0:
		encoded.Kind = gen.PointMapKindApproximate
	}
	if p.Constant != 0 {
		encoded.Constant = gen.PointMapConstant(string(p.Constant))
	}
	return encoded
}

func encodeCell(c standin.Cell) gen.CodeMapCell {
	return gen.CodeMapCell{
		Symbols: texts(c.Symbols), Shows: gen.CodeMapCellShows(string(c.Shows)), Rows: c.Rows, Against: c.Against,
	}
}

func encodeFamilyTrust(t standin.FamilyTrust) gen.FamilyTrust {
	return gen.FamilyTrust{
		Recorded: t.Recorded, Unrecorded: t.Unrecorded, Text: t.Text,
		ByDistance: list(t.ByDistance, func(d standin.DistanceCount) gen.DistanceCount {
			return gen.DistanceCount{Distance: d.Distance, Settings: d.Settings}
		}),
	}
}
