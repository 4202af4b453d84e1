package main

import (
	"log/slog"

	"github.com/KimMachineGun/automemlimit/memlimit"
)

// memoryShare is how much of the memory of its container, or of the machine, the
// program tries to stay below: the database usually lives on the same machine.
const memoryShare = 0.5

// limitMemory tells the garbage collector how much memory there is, unless
// GOMEMLIMIT says it. A system that does not tell is left without a limit.
func limitMemory(log *slog.Logger) {
	limit, err := memlimit.Set(memlimit.WithRatio(memoryShare),
		memlimit.WithProvider(memlimit.ApplyFallback(memlimit.FromCgroup, memlimit.FromSystem)))
	if err != nil {
		log.Info("no limit of memory is set", "error", err)
		return
	}
	log.Info("limit of memory", "bytes", limit)
}
