package main

import (
	"fmt"
	"io"
	"os"
	"strconv"
	"strings"
	"sync"
	"time"

	"golang.org/x/term"

	"standin/cmd/standin/tell"
	"standin/importer"
)

// How long checking and writing take beside reading, as measured on large bundles:
// the time left is worked out with them.
const (
	checkingPerReading = 6.0
	writingPerReading  = 16.0
)

// progressEvery is how often the line is written again.
const progressEvery = 200 * time.Millisecond

// meter shows on a terminal, on one line that is written again and again, how far
// an import is.
type meter struct {
	out   io.Writer
	width int
	stop  chan struct{}
	done  sync.WaitGroup

	mu    sync.Mutex
	now   importer.Progress
	times meterTimes
}

// meterTimes are when the phase began, and how long reading took.
type meterTimes struct {
	phase   time.Time
	reading time.Duration
}

// newMeter begins to show progress. Without a terminal it is nil: nothing is shown.
func newMeter(out io.Writer) *meter {
	file, ok := out.(*os.File)
	if !ok || !term.IsTerminal(int(file.Fd())) {
		return nil
	}
	width, _, err := term.GetSize(int(file.Fd()))
	if err != nil || width < 20 {
		width = tell.Width
	}
	m := &meter{out: out, width: width, stop: make(chan struct{})}
	m.done.Go(m.run)
	return m
}

// hear takes what the importer says. On no meter there is nobody to hear.
func (m *meter) hear() func(importer.Progress) {
	if m == nil {
		return nil
	}
	return func(p importer.Progress) {
		m.mu.Lock()
		defer m.mu.Unlock()
		if p.Phase != m.now.Phase {
			now := time.Now()
			if m.now.Phase == importer.PhaseReading {
				m.times.reading = now.Sub(m.times.phase)
			}
			m.times.phase = now
		}
		m.now = p
	}
}

func (m *meter) run() {
	tick := time.NewTicker(progressEvery)
	defer tick.Stop()
	for {
		select {
		case <-m.stop:
			fmt.Fprint(m.out, "\r"+strings.Repeat(" ", m.width-1)+"\r")
			return
		case <-tick.C:
			m.show(time.Now())
		}
	}
}

func (m *meter) show(now time.Time) {
	m.mu.Lock()
	line := progressLine(m.now, m.times, now)
	m.mu.Unlock()
	if runes := []rune(line); len(runes) > m.width-1 {
		line = string(runes[:m.width-1])
	}
	fmt.Fprintf(m.out, "\r%-*s", m.width-1, line)
}

// end takes the line away.
func (m *meter) end() {
	if m != nil {
		close(m.stop)
		m.done.Wait()
	}
}

// progressLine says the phase, the rows, how many a second, and about how long
// the whole will still take.
func progressLine(p importer.Progress, t meterTimes, now time.Time) string {
	if p.Phase == "" {
		return ""
	}
	line := string(p.Phase)
	if p.File != "" {
		line += " " + p.File
	}
	spent := now.Sub(t.phase)
	line += ": " + thousands(p.Rows) + " rows"
	if p.Phase == importer.PhaseReading && spent >= time.Second {
		line += fmt.Sprintf(", %s a second", thousands(int(float64(p.Rows)/spent.Seconds())))
	}
	if left := timeLeft(p, t, spent); left > 0 {
		line += ", about " + left.Round(time.Second).String() + " left"
	} else if p.Phase != importer.PhaseReading {
		line += ", " + spent.Round(time.Second).String()
	}
	return line
}

// timeLeft is about how long the import will still take, 0 where that is not known.
func timeLeft(p importer.Progress, t meterTimes, spent time.Duration) time.Duration {
	times := func(of time.Duration, by float64) time.Duration { return time.Duration(float64(of) * by) }
	switch p.Phase {
	case importer.PhaseReading:
		if p.Share < 0.02 || spent < time.Second {
			return 0
		}
		whole := times(spent, 1/p.Share)
		return whole - spent + times(whole, checkingPerReading+writingPerReading)
	case importer.PhaseChecking:
		return max(0, times(t.reading, checkingPerReading)-spent) + times(t.reading, writingPerReading)
	}
	return max(0, times(t.reading, writingPerReading)-spent)
}

// thousands is a number with commas between its thousands.
func thousands(n int) string {
	text := strconv.Itoa(n)
	for i := len(text) - 3; i > 0; i -= 3 {
		text = text[:i] + "," + text[i:]
	}
	return text
}
