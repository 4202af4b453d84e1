package api

import (
	"net/http"
	"slices"
	"strconv"
	"time"

	"github.com/labstack/echo/v4"
	"github.com/prometheus/client_golang/prometheus"
	"github.com/prometheus/client_golang/prometheus/collectors"
	"github.com/prometheus/client_golang/prometheus/promhttp"

	"standin"
)

// seconds are the bounds of what is timed: an answer from memory to one of a
// thousand machines.
var seconds = []float64{0.001, 0.0025, 0.005, 0.01, 0.025, 0.05, 0.1, 0.25, 0.5, 1, 2.5, 5, 10}

// metrics are what is counted and timed. No label is anything that a client may
// choose, so that nobody can make their number grow.
type metrics struct {
	registry  *prometheus.Registry
	requests  *prometheus.HistogramVec // by method, route and status
	underWay  prometheus.Gauge
	questions *prometheus.CounterVec   // by outcome
	asked     *prometheus.HistogramVec // by whether one or many machines were asked for
	readings  *prometheus.CounterVec   // by outcome
}

func newMetrics(version string, measured []standin.Measured) *metrics {
	m := &metrics{
		registry: prometheus.NewRegistry(),
		requests: prometheus.NewHistogramVec(prometheus.HistogramOpts{
			Name: "standin_http_request_duration_seconds", Help: "Requests, by method, route and status.", Buckets: seconds,
		}, []string{"method", "route", "status"}),
		underWay: prometheus.NewGauge(prometheus.GaugeOpts{Name: "standin_http_requests_under_way", Help: "Requests being answered."}),
		questions: prometheus.NewCounterVec(prometheus.CounterOpts{
			Name: "standin_questions_total", Help: "Machines asked for, by the best verdict, or why there is none.",
		}, []string{"outcome"}),
		asked: prometheus.NewHistogramVec(prometheus.HistogramOpts{
			Name: "standin_question_duration_seconds", Help: "How long a question took, of one machine or of many at once.", Buckets: seconds,
		}, []string{"machines"}),
		readings: prometheus.NewCounterVec(prometheus.CounterOpts{
			Name: "standin_readings_total", Help: "Readings, by what came of them.",
		}, []string{"outcome"}),
	}
	build := prometheus.NewGaugeVec(prometheus.GaugeOpts{Name: "standin_build_info", Help: "Is 1."}, []string{"version"})
	build.WithLabelValues(version).Set(1)
	m.registry.MustRegister(m.requests, m.underWay, m.questions, m.asked, m.readings, build,
		collectors.NewGoCollector(), collectors.NewProcessCollector(collectors.ProcessCollectorOpts{}))
	for _, one := range measured {
		m.registry.MustRegister(figures{one})
	}
	return m
}

// handler shows the metrics in the text format of Prometheus.
func (m *metrics) handler() http.Handler {
	return promhttp.HandlerFor(m.registry, promhttp.HandlerOpts{DisableCompression: true})
}

// observed counts and times requests.
func (m *metrics) observed(next echo.HandlerFunc) echo.HandlerFunc {
	return func(c echo.Context) error {
		began := time.Now()
		m.underWay.Inc()
		defer m.underWay.Dec()
		err := next(c) // the status is written already
		m.requests.WithLabelValues(methodLabel(c.Request().Method), routeLabel(c.Path()), strconv.Itoa(c.Response().Status)).
			Observe(time.Since(began).Seconds())
		return err
	}
}

func methodLabel(method string) string {
	known := []string{http.MethodGet, http.MethodHead, http.MethodPost, http.MethodPut, http.MethodPatch, http.MethodDelete, http.MethodOptions}
	if slices.Contains(known, method) {
		return method
	}
	return "other"
}

// routeLabel is the pattern of a route, which nobody but the program chooses.
func routeLabel(pattern string) string {
	if pattern == "" {
		return "none"
	}
	return pattern
}

// answered counts and times a question of one machine.
func (m *metrics) answered(r standin.Result, took time.Duration) {
	m.took("one", took)
	m.outcome(r)
}

// took times a question of one machine or of many.
func (m *metrics) took(machines string, took time.Duration) {
	m.asked.WithLabelValues(machines).Observe(took.Seconds())
}

// outcome counts a machine that was asked for.
func (m *metrics) outcome(r standin.Result) { m.questions.WithLabelValues(outcomeOf(r)).Inc() }

// outcomeOf is one of a few words for what became of a question.
func outcomeOf(r standin.Result) string {
	switch {
	case r.Err != nil:
		return string(r.Err.Code)
	case r.Answer == nil:
		return "failed"
	case r.Answer.Contradiction != nil:
		return "contradiction"
	case len(r.Answer.Candidates) == 0:
		return "nothing"
	}
	return r.Answer.Candidates[0].Verdict.String()
}

// figures are those of a part of the program that counts for itself.
type figures struct{ measured standin.Measured }

// Describe describes nothing: what there is, is known when it is collected.
func (f figures) Describe(chan<- *prometheus.Desc) {}

// Collect sends the figures as they are now.
func (f figures) Collect(out chan<- prometheus.Metric) {
	for _, one := range f.measured.Measures() {
		var names, values []string
		for _, l := range one.Labels {
			names, values = append(names, l.Name), append(values, l.Value)
		}
		kind := prometheus.GaugeValue
		if one.Sum {
			kind = prometheus.CounterValue
		}
		out <- prometheus.MustNewConstMetric(prometheus.NewDesc("standin_"+one.Name, one.Help, names, nil), kind, one.Value, values...)
	}
}
