package standin

import (
	"fmt"
	"math/rand/v2"
	"testing"
)

// Run with: go test -run '^$' -bench Quality -benchtime 1x .
//
// Goals: misprints at 60 rows precision 0.95 and recall 0.88, at 20
// rows 0.80 and 0.80, at 150 rows 0.98 and 0.94; diagnosis first 0.86 and among
// three 0.98, with a point misread on top 0.60 and among five 0.82.
//
// The quality benchmarks print how well misprints are found and slips are
// diagnosed, over ten lots of seeds with the lowest and the highest lot, beside
// what could be reached at best.

const lots = 10

// spread is a measure over the lots.
type spread struct{ low, sum, high float64 }

func (s *spread) add(v float64) {
	if s.sum == 0 {
		s.low, s.high = v, v
	}
	s.low, s.sum, s.high = min(s.low, v), s.sum+v, max(s.high, v)
}

func (s spread) String() string { return fmt.Sprintf("%.3f (%.3f to %.3f)", s.sum/lots, s.low, s.high) }

func BenchmarkQualityMisprints(b *testing.B) {
	for _, size := range []struct{ rows, planted, families int }{{20, 1, 60}, {60, 3, 20}, {150, 6, 8}} {
		b.Run(fmt.Sprintf("rows=%d/planted=%d", size.rows, size.planted), func(b *testing.B) {
			for b.Loop() {
				var precision, recall, ceiling, corrected, plainPrecision, plainRecall spread
				for lot := range uint64(lots) {
					seeds := seedsFrom(1_000_000+1000*lot, size.families)
					ours := proofreadMany(seeds, size.rows, size.planted, (*Table).Misprints)
					precision.add(ours.precision())
					recall.add(ours.recall())
					ceiling.add(ours.ceiling())
					corrected.add(ours.corrections())
					plain := proofreadMany(seeds, size.rows, size.planted, rowByRow)
					plainPrecision.add(plain.precision())
					plainRecall.add(plain.recall())
				}
				b.Logf("%d lots of %d families: precision %v, recall %v (at best %v), true row among the corrections %v; "+
					"row by row: precision %v, recall %v", lots, size.families, precision, recall, ceiling, corrected, plainPrecision, plainRecall)
				b.ReportMetric(precision.sum/lots, "precision")
				b.ReportMetric(recall.sum/lots, "recall")
			}
		})
	}
}

func BenchmarkQualityDiagnosis(b *testing.B) {
	for _, tt := range []struct{ rows, misread, near int }{{60, 0, 3}, {150, 0, 3}, {60, 1, 5}, {150, 1, 5}} {
		b.Run(fmt.Sprintf("rows=%d/misread=%d", tt.rows, tt.misread), func(b *testing.B) {
			for b.Loop() {
				var ours, keyed, bound, exact, given [2]spread
				for lot := range uint64(lots) {
					d := diagnoseMany(seedsFrom(2_000_000+1000*lot, 40), 20, tt.rows, tt.misread, tt.near)
					for _, m := range []struct {
						spreads *[2]spread
						hits    hits
					}{{&ours, d.ours}, {&keyed, d.keyed}, {&bound, d.bound}, {&exact, d.exact}, {&given, d.given}} {
						m.spreads[0].add(m.hits.first)
						m.spreads[1].add(m.hits.near)
					}
				}
				b.Logf("the true story first, and among %d:\n"+
					"  Diagnose                                                          %v, %v\n"+
					"  exact posterior, a point misread alone before one with a slip     %v, %v\n"+
					"given that the code was mis-keyed, to one that the table shows:\n"+
					"  Diagnose, without the stories that this rules out                  %v, %v\n"+
					"  exact posterior, a point misread or not as likely                 %v, %v\n"+
					"  exact posterior, how many points were misread is known            %v, %v",
					tt.near, ours[0], ours[1], bound[0], bound[1], keyed[0], keyed[1], exact[0], exact[1], given[0], given[1])
				b.ReportMetric(ours[0].sum/lots, "first")
				b.ReportMetric(bound[0].sum/lots, "ceiling")
				b.ReportMetric(keyed[0].sum/lots, "mis-keyed-first")
				b.ReportMetric(exact[0].sum/lots, "mis-keyed-ceiling")
				b.ReportMetric(ours[1].sum/lots, "near")
			}
		})
	}
}

// bigTable is 2,000 configurations of 6 places and 16 points, each of one or
// two places.
func bigTable() *Table {
	rng := rand.New(rand.NewPCG(1, 2))
	f := &Family{Name: "big", CodeLength: 6}
	for i := range 12 {
		f.Selector = append(f.Selector, string(rune('A'+i)))
	}
	var shows [16][12][12]byte
	for i := range shows {
		f.Readback = append(f.Readback, fmt.Sprintf("P%d", i+1))
		for a := range 12 {
			for c := range 12 {
				shows[i][a][c] = "01"[rng.IntN(2)]
			}
		}
	}
	configurations := make([]Configuration, 2000)
	for n := range configurations {
		code, pattern := make([]string, 6), make([]byte, 16)
		dial := make([]int, 6)
		for i := range code {
			dial[i] = rng.IntN(12)
			code[i] = f.Selector[dial[i]]
		}
		for i := range pattern {
			second := 0
			if i%4 == 0 {
				second = dial[(i+1)%6]
			}
			pattern[i] = shows[i][dial[i%6]][second]
		}
		configurations[n] = Configuration{Model: ModelKey{Brand: "B", Model: fmt.Sprint(n)}, Code: code, Pattern: Pattern(pattern)}
	}
	return NewTable(f, configurations)
}

func BenchmarkReading2000(b *testing.B) {
	t := bigTable()
	codeMap := t.CodeMap()
	meant, other := t.configurations[0], t.configurations[1]
	b.Run("table", func(b *testing.B) {
		for b.Loop() {
			NewTable(t.Family, t.configurations)
		}
	})
	b.Run("codemap", func(b *testing.B) {
		for b.Loop() {
			t.CodeMap()
		}
	})
	b.Run("misprints", func(b *testing.B) {
		for b.Loop() {
			t.Misprints()
		}
	})
	b.Run("verify", func(b *testing.B) {
		for b.Loop() {
			t.Verify(meant.Code, meant.Pattern, Reading(meant.Pattern))
		}
	})
	b.Run("diagnose", func(b *testing.B) {
		for b.Loop() {
			if _, err := t.Diagnose(codeMap, meant.Code, meant.Pattern, Reading(other.Pattern), 5); err != nil {
				b.Fatal(err)
			}
		}
	})
}

func BenchmarkPatternIndex(b *testing.B) {
	const families, rows = 500, 2000
	x := NewPatternIndex()
	rng := rand.New(rand.NewPCG(3, 4))
	for i := range families * rows {
		p := make([]byte, 14+i%3)
		for j := range p {
			p[j] = "0011f-"[rng.IntN(6)]
		}
		x.Add(Pattern(p), int64(i))
	}
	b.Run("rows=1000000", func(b *testing.B) {
		for b.Loop() {
			if _, err := x.Nearest("10f10110f01011?1", 50); err != nil {
				b.Fatal(err)
			}
		}
	})
}
