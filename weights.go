package standin

import "math"

// The costs of slips, the one table that decides which story comes first. A
// cost is the negative natural logarithm of a chance, so that costs of slips
// made together add up. Each is the share of a kind of slip divided by the ways
// it can happen in a code of four places on a dial of twelve symbols.
//
// The shares: Verhoeff (Error Detecting Decimal Codes, 1969, as tabulated since;
// counts from memory) has single wrong symbols far before exchanges of
// neighbours, 79.05 % to 10.21 %; collections read give 60 to 95 % and 10 to
// 20 %. Taken here: 8 to 2. That a dial more often slips to its neighbour than
// further is common practice, no source: taken as 5 to 3.
//
//	slip                                 share   ways   cost
//	neighbour on the dial                 0.5      8    2.67 (with its part of the next but one)
//	neighbours in the code exchanged      0.2      3    2.71
//	any other symbol                      0.3     44    4.99
//
// Only their order, and that two slips cost more than one, should be relied on.
const (
	costNeighbour = 2.67
	costExchanged = 2.71
	// From the last symbol of the selector to the first, or back: whether the
	// dial turns on there is not recorded, so it counts half a neighbour.
	costAroundEnd   = 3.27
	costOtherSymbol = 4.99

	// A point misread: one in two hundred, common practice, no source.
	costMisread = 5.3

	// A symbol entered twice or left out. Among people who copy numbers as
	// frequent as exchanges (10 to 20 %), but on a selector the entry then ends
	// early or late, which is mostly noticed: taken as one in ten of those.
	costTwice   = 8.0
	costLeftOut = 8.0

	// The line of another model read off the chart: no source. Taken as one in a
	// hundred, of some hundreds of lines.
	costOtherModel = 10.5

	// The chart misprinted just so that the reading is what the code map expects:
	// as proof-reading assumes it of one point of fourteen.
	costMisprinted = 6.3
)

// costUnseen is for a symbol that no recorded row has at its place: that the
// board takes it there at all is assumed once in a hundred, no source.
const costUnseen = 4.6

// costUnknownPoint is for a point that was read and of which it is not known
// what the story would show there: lit or unlit, one in two.
const costUnknownPoint = math.Ln2

// What a story may ask one to believe.
const (
	mostMisread      = 2 // points misread beside a slip in the code
	mostMisreadAlone = 3 // points misread with the code rightly entered
	sameCost         = 1e-9
)
