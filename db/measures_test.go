package db

import (
	"testing"

	"standin"
)

// Figures follow what is done: connections, families kept, indexes made.
func TestMeasures(t *testing.T) {
	t.Parallel()
	db := openSmall(t)
	figure := func(name string, labels ...standin.Label) (sum float64) {
		found := false
		for _, m := range db.Measures() {
			if m.Name == name && (len(labels) == 0 || m.Labels[len(m.Labels)-1] == labels[0]) {
				sum += m.Value
				found = true
			}
		}
		if !found {
			t.Errorf("there is no %s", name)
		}
		return sum
	}
	hit, miss := standin.Label{Name: "outcome", Value: "hit"}, standin.Label{Name: "outcome", Value: "miss"}
	families, err := db.ListFamilies(t.Context(), "", 1)
	if err != nil {
		t.Fatal(err)
	}
	for range 3 {
		if _, err := db.PreparedFamily(t.Context(), families[0].Name); err != nil {
			t.Fatal(err)
		}
	}
	if hits, misses := figure("cache_requests_total", hit), figure("cache_requests_total", miss); hits != 2 || misses != 1 {
		t.Errorf("of three requests for one family %v were hits and %v misses", hits, misses)
	}
	for range 2 {
		if _, err := db.SettingsNear(t.Context(), "1", 1); err != nil {
			t.Fatal(err)
		}
	}
	if made := figure("pattern_index_reads_total"); made != 1 {
		t.Errorf("the index was made %v times for two questions", made)
	}
	if now, most := figure("pool_connections"), figure("pool_connections_most"); now < 1 || now > most {
		t.Errorf("%v connections, at most %v", now, most)
	}
}
