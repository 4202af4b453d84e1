package standin

import (
	"fmt"
	"strconv"
	"strings"
)

// Resistor is the value of a resistor that configures a board: its nominal
// resistance and its tolerance in percent, where recorded.
type Resistor struct {
	Ohms      float64
	Tolerance Maybe[float64]
}

// tolerances are the letters of IEC 60062 with their percent, from memory.
var tolerances = map[byte]float64{'F': 1, 'G': 2, 'J': 5, 'K': 10, 'M': 20}

// ParseResistor reads a resistor value in the letter code of IEC 60062: 470R,
// 4K7, 1M, or 4700, and after it the letter of its tolerance (F 1 %, G 2 %, J 5 %,
// K 10 %, M 20 %), as in 4K7J. Lower case k is taken as K.
func ParseResistor(text string) (Resistor, error) {
	wrong := fmt.Errorf("%q is no resistor value; write it as 470R, 4K7, 1M or 4700, with its tolerance as 4K7J (F 1 %%, G 2 %%, J 5 %%, K 10 %%, M 20 %%)", text)
	code := strings.ReplaceAll(strings.ReplaceAll(text, " ", ""), "k", "K")
	r, factor := Resistor{}, 1.0
	at := strings.IndexAny(code, "RKM")
	if n := len(code); n > 1 && at != n-1 { // a letter alone at the end is the multiplier
		if percent, ok := tolerances[code[n-1]]; ok {
			r.Tolerance, code = Known(percent), code[:n-1]
		}
	}
	if at >= 0 {
		factor = map[byte]float64{'R': 1, 'K': 1e3, 'M': 1e6}[code[at]]
		code = strings.TrimSuffix(code[:at]+"."+code[at+1:], ".")
	}
	ohms, err := strconv.ParseFloat(code, 64)
	if err != nil || ohms <= 0 || strings.Trim(code, "0123456789.") != "" {
		return Resistor{}, wrong
	}
	r.Ohms = ohms * factor
	return r, nil
}

// Window returns the least and the greatest resistance in ohms that may be
// measured. They are not known without a tolerance.
func (r Resistor) Window() (low, high Maybe[float64]) {
	percent, ok := r.Tolerance.Get()
	if !ok {
		return low, high
	}
	return Known(r.Ohms * (1 - percent/100)), Known(r.Ohms * (1 + percent/100))
}

// String is the value as people say it: "4.7 kΩ ± 5 %".
func (r Resistor) String() string {
	text := plain(r.Ohms) + "\u00a0Ω"
	switch {
	case r.Ohms >= 1e6:
		text = Figure(r.Ohms/1e6) + "\u00a0MΩ"
	case r.Ohms >= 1e3:
		text = Figure(r.Ohms/1e3) + "\u00a0kΩ"
	}
	if percent, ok := r.Tolerance.Get(); ok {
		text += " ±\u00a0" + plain(percent) + "\u00a0%"
	}
	return text
}
