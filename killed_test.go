package standin_test

import (
	"math"
	"math/rand/v2"
	"testing"

	"standin"
)

// The breakdown voltage of a Zener diode, −5.47 V with a standard uncertainty of
// 0.05 V and an upper limit of −5.40 V, conforms with Φ(1.4) = 0.92 (JCGM 106:2012,
// 7.4, example [M]).
func TestConformance(t *testing.T) {
	t.Parallel()
	got := standin.Conformance(-5.47, 0.05, standin.Maybe[float64]{}, standin.Known(-5.40))
	if math.Abs(got-0.9192) > 0.0001 {
		t.Errorf("got %v", got)
	}
	if got := standin.Conformance(5, 0, standin.Known(4.0), standin.Known(6.0)); got != 1 {
		t.Errorf("without uncertainty between the limits: %v", got)
	}
}

// A heating element of 2000 W at 230 V has 25.19 to 29.39 Ω hot (IEC 60335-1, 10.1);
// a copper winding of 10.0 Ω at 20 °C has 12.36 Ω at 80 °C (IEC 60028).
func TestJudgeOhms(t *testing.T) {
	t.Parallel()
	heater := standin.Load{Circuit: "heater", Element: standin.ElementHeating,
		Watts: standin.Known(2000.0), Volts: standin.Known(230.0)}
	motor := standin.Load{Circuit: "motor", Element: standin.ElementMotor,
		OhmsLow: standin.Known(9.5), OhmsHigh: standin.Known(10.5), AtCelsius: standin.Known(20.0)}
	for _, test := range []struct {
		name string
		load *standin.Load
		read standin.OhmsRead
		want standin.LoadState
	}{
		{"nominal heater", &heater, standin.OhmsRead{Ohms: 26.45, Celsius: 20}, standin.LoadGood},
		{"heater at its limit", &heater, standin.OhmsRead{Ohms: 29.39, Celsius: 20}, standin.LoadDoubtful},
		{"shorted heater", &heater, standin.OhmsRead{Ohms: 3, Celsius: 20}, standin.LoadBad},
		{"open heater", &heater, standin.OhmsRead{Open: true, Celsius: 20}, standin.LoadBad},
		{"winding", &motor, standin.OhmsRead{Ohms: 10, Celsius: 20}, standin.LoadGood},
		{"hot winding", &motor, standin.OhmsRead{Ohms: 12.36, Celsius: 80}, standin.LoadGood},
		{"as many ohms cold", &motor, standin.OhmsRead{Ohms: 12.36, Celsius: 20}, standin.LoadBad},
		{"nothing recorded", &standin.Load{Circuit: "valve"}, standin.OhmsRead{Ohms: 3800}, standin.LoadDoubtful},
	} {
		test.read.Meter = standin.Meter{Percent: 1, Ohms: 0.1, Kelvin: 2}
		if got := standin.JudgeOhms(test.load, test.read); got.State != test.want {
			t.Errorf("%s: %s, want %s: %s", test.name, got.State, test.want, got.Reason)
		}
	}
}

// Of loads whose true ohms are drawn over a wide range and read with errors of the
// meter and of the temperature, those called good with a chance between 95 and 99 %
// are good that often, and what is said to be good to half is so in half.
func TestChancesOfGoodLoadsHold(t *testing.T) {
	t.Parallel()
	r := rand.New(rand.NewPCG(3, 14))
	meter := standin.Meter{Percent: 2, Ohms: 0.1, Kelvin: 8}
	motor := standin.Load{Circuit: "motor", Element: standin.ElementMotor,
		OhmsLow: standin.Known(18.0), OhmsHigh: standin.Known(22.0), AtCelsius: standin.Known(20.0)}
	type bin struct{ said, good, n float64 }
	var bins [3]bin
	var called, goodOfCalled float64
	for range 200000 {
		truth := 14 + 12*r.Float64()
		even := func(half float64) float64 { return half * (2*r.Float64() - 1) }
		celsius := 35.0
		shown := standin.CopperOhms(truth, 20, celsius+even(meter.Kelvin))
		shown += even(shown*meter.Percent/100 + meter.Ohms)
		j := standin.JudgeOhms(&motor, standin.OhmsRead{Ohms: shown, Celsius: celsius, Meter: meter})
		good := 0.0
		if truth >= 18 && truth <= 22 {
			good = 1
		}
		if j.State == standin.LoadGood {
			called, goodOfCalled = called+1, goodOfCalled+good
		}
		for i, from := range []float64{0.2, 0.4, 0.6} {
			if j.Chance.V >= from && j.Chance.V < from+0.2 {
				bins[i] = bin{bins[i].said + j.Chance.V, bins[i].good + good, bins[i].n + 1}
			}
		}
	}
	t.Logf("of %.0f called good %.1f %% are; of the doubtful %+v", called, 100*goodOfCalled/called, bins)
	if called == 0 || goodOfCalled/called < 0.95 {
		t.Errorf("of %.0f called good only %.1f %% are", called, 100*goodOfCalled/called)
	}
	for _, b := range bins {
		if math.Abs(b.said-b.good)/b.n > 0.04 {
			t.Errorf("said %.3f, true %.3f of %.0f", b.said/b.n, b.good/b.n, b.n)
		}
	}
}

func TestWhatKilled(t *testing.T) {
	t.Parallel()
	loads := []standin.Load{
		{Circuit: "heater", Element: standin.ElementHeating, Watts: standin.Known(2000.0), Volts: standin.Known(230.0)},
		{Circuit: "motor", Element: standin.ElementMotor, OhmsLow: standin.Known(18.0), OhmsHigh: standin.Known(22.0)},
		{Circuit: "valve"},
	}
	k := standin.WhatKilled(loads, []string{"motor"}, nil)
	if k.Suspects[0].Circuit != "motor" || k.Measure != "motor" || len(k.Cautions) == 0 {
		t.Errorf("burnt at the motor: %+v", k)
	}
	read := []standin.OhmsRead{{Circuit: "motor", Ohms: 20, Celsius: 20, Meter: standin.WorkshopMeter()}}
	k = standin.WhatKilled(loads, []string{"motor"}, read)
	if k.Suspects[0].Circuit != "heater" || k.Measure != "heater" {
		t.Errorf("burnt at the motor, whose winding is good: %+v", k)
	}
	sum := k.NoLoad
	for _, s := range k.Suspects {
		sum += s.Share
	}
	if math.Abs(sum-1) > 1e-9 {
		t.Errorf("the chances add up to %v", sum)
	}
}
