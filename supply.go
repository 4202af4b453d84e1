package standin

import (
	"fmt"
	"slices"
	"strconv"
	"strings"
)

// String is the range as a plate has it: "230" or "220-240".
func (r VoltRange) String() string {
	if r.Low == r.High {
		return plain(r.Low)
	}
	return plain(r.Low) + "-" + plain(r.High)
}

// VoltsText are rated voltages as a plate has them, "110-120/220-240"; empty
// where none are recorded.
func VoltsText(volts Maybe[[]VoltRange]) string {
	words := make([]string, len(volts.V))
	for i, r := range volts.V {
		words[i] = r.String()
	}
	return strings.Join(words, "/")
}

// HertzText are rated frequencies as a plate has them, "50/60"; empty where none
// are recorded.
func HertzText(hertz Maybe[[]float64]) string {
	words := make([]string, len(hertz.V))
	for i, hz := range hertz.V {
		words[i] = plain(hz)
	}
	return strings.Join(words, "/")
}

// ParseVolts reads rated voltages as a plate has them: 230, 220-240 or
// 110-120/220-240. Empty text is not recorded.
func ParseVolts(text string) (Maybe[[]VoltRange], error) {
	if strings.TrimSpace(text) == "" {
		return Maybe[[]VoltRange]{}, nil
	}
	var volts []VoltRange
	for word := range strings.SplitSeq(text, "/") {
		first, last, isRange := strings.Cut(strings.ReplaceAll(word, "–", "-"), "-")
		if !isRange {
			last = first
		}
		low, err := supplyNumber(first)
		high, err2 := supplyNumber(last)
		if err != nil || err2 != nil || low > high {
			return Maybe[[]VoltRange]{}, fmt.Errorf("%q is no rated voltage; write it as 230, 220-240 or 110-120/220-240", text)
		}
		if r := (VoltRange{low, high}); !slices.Contains(volts, r) {
			volts = append(volts, r)
		}
	}
	return Known(volts), nil
}

// supplyNumber reads digits with a decimal point at most: a plate has no signs
// and no exponents.
func supplyNumber(text string) (float64, error) {
	text = strings.TrimSpace(text)
	x, err := strconv.ParseFloat(text, 64)
	if err != nil || strings.Trim(text, "0123456789.") != "" || x <= 0 {
		return 0, fmt.Errorf("%q is not a number above zero", text)
	}
	return x, nil
}

// lowest is the lowest of rated voltages.
func lowest(volts Maybe[[]VoltRange]) (least Maybe[float64]) {
	for _, r := range volts.V {
		if r.Low <= least.Or(r.Low) {
			least = Known(r.Low)
		}
	}
	return least
}
