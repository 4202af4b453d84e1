package page_test

import "testing"

// job is one of the demo's: a board that fits whichever build it is, with an
// adaptor, swappable headers, a code of four symbols and ten points to read.
const job = "brand=Fenlask&model=Vask+690&part_number=ZQ-PA-140&revision=A"

// allRead is a reading of it that tallies, and wrongRead one that does not.
const (
	allRead   = "&p1=1&p2=1&p3=f&p4=1&p5=1&p6=0&p7=f&p8=1&p9=0&p10=1"
	wrongRead = "&p1=1&p2=1&p3=f&p4=0&p5=1&p6=0&p7=f&p8=0&p9=0&p10=1"
)

func TestBenchAccess(t *testing.T) {
	t.Parallel()
	reviewed(t, over(t, demoStore(t)), map[string]string{
		"bench":            "/bench?" + job,
		"bench-board":      "/bench?" + job + "&step=1",
		"bench-load":       "/bench?" + job + "&step=4&measured=19.2",
		"bench-load-out":   "/bench?" + job + "&step=4&measured=300",
		"bench-plugs":      "/bench?" + job + "&step=7",
		"bench-joins":      "/bench?" + job + "&step=9",
		"bench-limits":     "/bench?" + job + "&step=19",
		"bench-last":       "/bench?" + job + "&step=21" + allRead,
		"bench-symbol":     "/bench?" + job + "&step=14",
		"reading":          "/bench/reading?" + job,
		"reading-missing":  "/bench/reading?" + job + "&p1=1",
		"reading-tallies":  "/bench/reading?" + job + allRead,
		"reading-does-not": "/bench/reading?" + job + wrongRead,
		"bench-print":      "/bench/print?" + job,
		"bench-depends":    "/bench?brand=Fenlask&model=Vask+690&part_number=ZQ-PA-131&revision=C",
		"identified-near":  "/identify?family=Pavane" + wrongRead,
		"bench-misfit":     "/bench?brand=Fenlask&model=Vask+690&part_number=ZQ-PA-125&revision=A",
		"bench-revision":   "/bench?brand=Fenlask&model=Vask+690&part_number=ZQ-PA-125",
		"identify":         "/identify",
		"identify-family":  "/identify?family=Rondeau",
		"identified":       "/identify?family=Pavane" + allRead,
	})
}
