package db

import "standin"

// Measures returns the figures of the connections and of the caches.
func (db *DB) Measures() []standin.Measure {
	pool := db.pool.Stat()
	connections := func(state string, n int32) standin.Measure {
		return standin.Measure{
			Name: "pool_connections", Help: "Connections to the database, by what they are doing.",
			Labels: []standin.Label{{Name: "state", Value: state}}, Value: float64(n),
		}
	}
	hits, misses := db.prepared.counts()
	asked := func(outcome string, n uint64) standin.Measure {
		return standin.Measure{
			Name: "cache_requests_total", Help: "What was looked for in memory before the database was asked, by whether it was there.",
			Labels: []standin.Label{{Name: "cache", Value: "families"}, {Name: "outcome", Value: outcome}}, Sum: true, Value: float64(n),
		}
	}
	return []standin.Measure{
		connections("busy", pool.AcquiredConns()), connections("idle", pool.IdleConns()), connections("opening", pool.ConstructingConns()),
		{Name: "pool_connections_most", Help: "Connections that there may be at most.", Value: float64(pool.MaxConns())},
		{Name: "pool_waits_total", Help: "Times a question waited for a connection because all were busy.", Sum: true, Value: float64(pool.EmptyAcquireCount())},
		{Name: "pool_wait_seconds_total", Help: "How long questions waited for a connection together.", Sum: true, Value: pool.EmptyAcquireWaitTime().Seconds()},
		asked("hit", hits), asked("miss", misses),
		{Name: "pattern_index_reads_total", Help: "Times every pattern of the catalogue was read to make its index.", Sum: true, Value: float64(db.patterns.made.Load())},
	}
}
