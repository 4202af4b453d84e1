package db

import (
	"fmt"
	"io"
	"log/slog"
	"net/http"
	"net/http/httptest"
	"net/url"
	"testing"
	"time"

	"standin/api"
)

// Suggestions of the counter page among a million models beside the bare SQL
// that finds them, turn by turn: x-bare is to be at most 2.
func BenchmarkSuggest(b *testing.B) {
	db := openMillion(b)
	handler, err := api.New(api.Config{Catalogue: db, Log: slog.New(slog.NewTextHandler(io.Discard, nil))})
	if err != nil {
		b.Fatal(err)
	}
	for name, typed := range map[string]string{"exact": "Brand 17 M100017V", "misread": "8RAND I7 MIOOOI7V", "begun": "M1000", "letter_wrong": "Brand 17 M100017X"} {
		b.Run(name, func(b *testing.B) {
			address := "/suggest?fragment=1&q=" + url.QueryEscape(typed)
			var bare, whole []time.Duration
			for b.Loop() {
				bare = append(bare, took(b, func() (int, error) { return db.bareFind(b, typed) }))
				whole = append(whole, took(b, func() (int, error) {
					answer := httptest.NewRecorder()
					handler.ServeHTTP(answer, httptest.NewRequest(http.MethodGet, address, nil))
					if answer.Code != http.StatusOK {
						return 0, fmt.Errorf("status %d", answer.Code)
					}
					return answer.Body.Len(), nil
				}))
			}
			b.ReportMetric(0, "ns/op")
			b.ReportMetric(quartile(whole).Seconds()*1e3, "ms/suggest")
			b.ReportMetric(quartile(whole).Seconds()/quartile(bare).Seconds(), "x-bare")
		})
	}
}

// bareFind runs the statements that find boards and models and reads their rows.
func (db *DB) bareFind(b *testing.B, typed string) (size int, err error) {
	for _, sql := range []string{findBoardsSQL, findSQL} {
		rows, err := db.pool.Query(b.Context(), sql, typed, 8)
		if err != nil {
			return 0, err
		}
		for rows.Next() {
			for _, value := range rows.RawValues() {
				size += len(value)
			}
		}
		if err := rows.Err(); err != nil {
			return 0, err
		}
	}
	return size, nil
}
