package bundle

import (
	"math/rand/v2"
	"testing"

	"github.com/google/go-cmp/cmp"
)

func TestClosingLinks(t *testing.T) {
	t.Parallel()
	const both = true
	tests := []struct {
		name  string
		links []link
		want  []int64
	}{
		{"none", nil, nil},
		{"a chain", []link{{1, 0, 1, false}, {2, 1, 2, false}}, nil},
		{"two ways to the same end", []link{{1, 0, 1, false}, {2, 1, 2, false}, {3, 0, 2, false}}, nil},
		{"a circle", []link{{1, 0, 1, false}, {2, 1, 2, false}, {3, 2, 0, false}}, []int64{3}},
		{"a circle taken in another order", []link{{1, 2, 0, false}, {2, 0, 1, false}, {3, 1, 2, false}}, []int64{3}},
		{"to itself", []link{{1, 0, 0, false}, {2, 1, 1, both}}, []int64{1, 2}},
		{"there and back", []link{{1, 0, 1, both}, {2, 1, 0, both}, {3, 1, 2, both}, {4, 2, 0, both}}, nil},
		{"one-way between what is the same both ways", []link{{1, 0, 1, both}, {2, 1, 2, both}, {3, 0, 2, false}}, nil},
		{"both ways beside a chain", []link{{1, 0, 1, false}, {2, 1, 2, false}, {3, 0, 2, both}}, nil},
		{"both ways back along a chain", []link{{1, 0, 1, false}, {2, 1, 0, both}}, []int64{2}},
		{"two circles", []link{{1, 0, 1, false}, {2, 1, 0, false}, {3, 2, 3, false}, {4, 3, 2, false}}, []int64{2, 4}},
		{"two circles through one end", []link{{1, 0, 1, false}, {2, 1, 0, false}, {3, 1, 2, false}, {4, 2, 1, false}}, []int64{2, 4}},
	}
	for _, test := range tests {
		if diff := cmp.Diff(test.want, placesOf(closing(test.links))); diff != "" {
			t.Errorf("%s:\n%s", test.name, diff)
		}
	}
}

// Against every walk there is: a link closes a circle where the links before it
// lead back from its end, one of them or itself one-way.
func TestClosingLinksAgainstBruteForce(t *testing.T) {
	t.Parallel()
	random := rand.New(rand.NewPCG(1, 2))
	circles := 0
	for range 3000 {
		ends := 2 + random.Int32N(5)
		var links []link
		for place := range int64(random.IntN(12)) {
			links = append(links, link{place, random.Int32N(ends), random.Int32N(ends), random.IntN(3) == 0})
		}
		want := bruteClosing(links, int(ends))
		circles += len(want)
		if diff := cmp.Diff(want, placesOf(closing(links))); diff != "" {
			t.Fatalf("%v:\n%s", links, diff)
		}
	}
	if circles < 1000 {
		t.Errorf("only %d circles were drawn", circles)
	}
}

// bruteClosing keeps for every pair of ends whether one leads to the other, and
// whether over a one-way link, and closes that under composition after each link.
func bruteClosing(links []link, ends int) []int64 {
	var closing []int64
	var kept []link
	for _, l := range links {
		any, oneWay := reach(kept, ends)
		from, to := int(l.from), int(l.to)
		if from == to || !l.bothWays && any[to][from] || l.bothWays && oneWay[to][from] {
			closing = append(closing, l.place)
			continue
		}
		kept = append(kept, l)
	}
	return closing
}

func reach(links []link, ends int) (any, oneWay [8][8]bool) {
	for _, l := range links {
		any[l.from][l.to] = true
		oneWay[l.from][l.to] = oneWay[l.from][l.to] || !l.bothWays
	}
	for range ends {
		for a := range ends {
			for b := range ends {
				for c := range ends {
					any[a][c] = any[a][c] || any[a][b] && any[b][c]
					oneWay[a][c] = oneWay[a][c] || oneWay[a][b] && any[b][c] || any[a][b] && oneWay[b][c]
				}
			}
		}
	}
	return any, oneWay
}

func placesOf(links []link) []int64 {
	var places []int64
	for _, l := range links {
		places = append(places, l.place)
	}
	return places
}

// Many links in a row are walked without recursion.
func TestClosingLinksOfALongChain(t *testing.T) {
	t.Parallel()
	const n = 200_000
	links := make([]link, n)
	for i := range links {
		links[i] = link{int64(i), int32(i), int32(i + 1), false}
	}
	if got := closing(links); len(got) != 0 {
		t.Errorf("%d links close a circle", len(got))
	}
	links[n-1].to = 0
	if got := closing(links); len(got) != 1 || got[0].place != n-1 {
		t.Errorf("%d links close a circle", len(got))
	}
}
