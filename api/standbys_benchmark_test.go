package api_test

import (
	"math/rand/v2"
	"path/filepath"
	"strings"
	"sync"
	"sync/atomic"
	"testing"
	"time"

	"standin"
	"standin/db"
	"standin/db/dbtest"
	"standin/importer/generate"
)

const (
	mostStandbys = 3

	// serverShare is how much of a processor each database server has: so little
	// that the servers are what the look-ups wait for, and not the service or the
	// machine that all of them are on.
	serverShare = 0.1

	// standbyClients are so many that each standby always has questions waiting.
	standbyClients = 24
)

// BenchmarkReadsOfStandbys has clients look random models up, and judges what stands
// in for their boards, on a primary with one, two and three standbys by turns. Where
// there is a standby the primary is left to the writes, so that the first brings no
// reads: x-2 and x-3 are what the second and the third bring, as ratios to the reads
// with one, and are to stay above 1.8 and 2.6.
func BenchmarkReadsOfStandbys(b *testing.B) {
	cluster := dbtest.NewCluster(b, mostStandbys)
	path := filepath.Join(b.TempDir(), "bundle")
	if err := (generate.Catalogue{Models: 2_000, Configurations: 4_000, Seed: 1}).Write(path); err != nil {
		b.Fatal(err)
	}
	machines := machinesOf(b, importedAt(b, cluster.Servers[0].URL, path))
	cluster.AwaitStandbys()
	var with [mostStandbys]*db.DB
	for i := range with {
		database, err := db.Open(b.Context(), cluster.URLOf(i+2))
		if err != nil {
			b.Fatal(err)
		}
		b.Cleanup(database.Close)
		with[i] = database
		lookUps(b, database, machines, 2*time.Second) // connections, their plans, and what models share
	}
	for _, server := range cluster.Servers {
		server.Limit(serverShare)
	}
	var reads [mostStandbys]float64
	for b.Loop() {
		for i, database := range with {
			reads[i] += lookUps(b, database, machines, 4*time.Second)
		}
	}
	b.ReportMetric(reads[0]/float64(b.N), "reads/s-1")
	b.ReportMetric(reads[1]/reads[0], "x-2")
	b.ReportMetric(reads[2]/reads[0], "x-3")
}

// machinesOf are all models of a catalogue.
func machinesOf(b *testing.B, database *db.DB) []standin.Machine {
	b.Helper()
	rows, err := database.Pool().Query(b.Context(), `SELECT brand, model, variant FROM models ORDER BY id`)
	if err != nil {
		b.Fatal(err)
	}
	defer rows.Close()
	var machines []standin.Machine
	for rows.Next() {
		var m standin.Machine
		if err := rows.Scan(&m.Brand, &m.Model, &m.Variant); err != nil {
			b.Fatal(err)
		}
		machines = append(machines, m)
	}
	if err := rows.Err(); err != nil {
		b.Fatal(err)
	}
	return machines
}

// lookUps is how many random machines are looked up in a second.
func lookUps(b *testing.B, database *db.DB, machines []standin.Machine, during time.Duration) float64 {
	b.Helper()
	var answers atomic.Int64
	began := time.Now()
	var working sync.WaitGroup
	for range standbyClients {
		working.Go(func() {
			for time.Since(began) < during {
				m := machines[rand.IntN(len(machines))]
				dossiers, err := database.Dossiers(b.Context(), []standin.Machine{m})
				if err != nil {
					b.Error(err)
					return
				}
				if got := standin.Fit(dossiers[0], m); !strings.EqualFold(got.Machine.Model, m.Model) {
					b.Errorf("asked for %s, answered for %s", m.Model, got.Machine.Model)
					return
				}
				answers.Add(1)
			}
		})
	}
	working.Wait()
	return float64(answers.Load()) / time.Since(began).Seconds()
}
