package standin

import (
	"math"
	"testing"
)

func TestResistors(t *testing.T) {
	t.Parallel()
	for _, tt := range []struct {
		text, want string
		low, high  float64
	}{
		{"4K7J", "4.7\u00a0kΩ ±\u00a05\u00a0%", 4465, 4935},
		{"10k K", "10\u00a0kΩ ±\u00a010\u00a0%", 9000, 11000},
		{"470R", "470\u00a0Ω", 0, 0},
		{"10K", "10\u00a0kΩ", 0, 0},
		{"4R7F", "4.7\u00a0Ω ±\u00a01\u00a0%", 4.653, 4.747},
		{"1MM", "1\u00a0MΩ ±\u00a020\u00a0%", 800e3, 1200e3},
		{"4700", "4.7\u00a0kΩ", 0, 0},
		{"4700J", "4.7\u00a0kΩ ±\u00a05\u00a0%", 4465, 4935},
	} {
		r, err := ParseResistor(tt.text)
		low, high := r.Window()
		if err != nil || r.String() != tt.want || math.Abs(low.V-tt.low) > 1e-6 || math.Abs(high.V-tt.high) > 1e-6 {
			t.Errorf("%s: %s, %v to %v, %v; want %s", tt.text, r, low, high, err, tt.want)
		}
	}
	for _, text := range []string{"", "K", "4K7K7", "-1", "1e3", "0", "J", "4Q7"} {
		if r, err := ParseResistor(text); err == nil {
			t.Errorf("%q is taken as %s", text, r)
		}
	}
}

// The windows of neighbours of the E12 series (IEC 60063, from memory) at 5 % never
// overlap; at 10 % some do or meet.
func TestWindowsOfNeighbours(t *testing.T) {
	t.Parallel()
	e12 := []float64{10, 12, 15, 18, 22, 27, 33, 39, 47, 56, 68, 82, 100}
	for i := range len(e12) - 1 {
		_, high := Resistor{e12[i], Known(5.0)}.Window()
		low, _ := Resistor{e12[i+1], Known(5.0)}.Window()
		if high.V >= low.V {
			t.Errorf("%v and %v Ω overlap at 5 %%: %v, %v", e12[i], e12[i+1], high.V, low.V)
		}
	}
}
