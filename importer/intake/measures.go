package intake

import "standin"

// counts are what the service counts.
type counts struct {
	ended map[standin.UploadState]int
	busy  int
}

func (s *Service) counted(count func(*counts)) {
	s.mu.Lock()
	defer s.mu.Unlock()
	count(&s.count)
}

// Measures returns the figures of uploads.
func (s *Service) Measures() []standin.Measure {
	s.mu.Lock()
	defer s.mu.Unlock()
	all := []standin.Measure{
		{Name: "uploads_under_way", Help: "Bundles that are being received, waiting or worked on.", Value: float64(len(s.places))},
		{Name: "uploads_busy_total", Help: "Bundles that were refused because as many as are accepted were under way.", Sum: true, Value: float64(s.count.busy)},
	}
	for _, state := range []standin.UploadState{standin.UploadChecked, standin.UploadDone, standin.UploadRefused, standin.UploadFailed} {
		all = append(all, standin.Measure{
			Name: "uploads_ended_total", Help: "Bundles that were worked on, by what became of them.",
			Labels: []standin.Label{{Name: "state", Value: string(state)}}, Sum: true, Value: float64(s.count.ended[state]),
		})
	}
	return all
}
