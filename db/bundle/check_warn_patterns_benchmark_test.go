package bundle

import (
	"fmt"
	"math/rand/v2"
	"testing"
)

// BenchmarkLikenesses shows that the time per setting grows far less than their
// number, even where every pattern has points that say nothing and none agree.
// Comparing every setting with every other would take ten times as long per setting
// for ten times as many.
func BenchmarkLikenesses(b *testing.B) {
	d := rand.New(rand.NewPCG(3, 4))
	for _, shows := range []string{"01", "01f0101f01-"} {
		for _, n := range []int{3_000, 30_000} {
			all := randomSettings(d, n, 40, shows)
			b.Run(fmt.Sprintf("shows=%s/settings=%d", shows, n), func(b *testing.B) {
				alike := 0
				for b.Loop() {
					for range likenesses(all) {
						alike++
					}
				}
				b.ReportMetric(float64(b.Elapsed().Nanoseconds())/float64(b.N*n), "ns/setting")
				b.ReportMetric(float64(alike)/float64(b.N), "alike")
			})
		}
	}
}
