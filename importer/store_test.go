package importer_test

import (
	"context"
	"iter"
	"runtime"

	"standin"
)

// memory is a store that keeps what is staged, and remembers how it ended.
type memory struct {
	standin.Imports // the methods that an import does not need
	families        map[string]standin.Family
	found           []standin.Finding // what Check finds
	count           int               // how many there are; 0: as many as found

	request standin.ImportRequest
	staged  map[string][]standin.Row // by name in standin.Files
	names   map[string]string        // what findings call the file
	ended   []string                 // check, diff, commit, rollback
}

func (m *memory) OpenImport(_ context.Context, request standin.ImportRequest) (standin.ImportTx, error) {
	m.request, m.staged, m.names = request, map[string][]standin.Row{}, map[string]string{}
	return (*memoryTx)(m), nil
}

type memoryTx memory

func (m *memoryTx) Families(context.Context) (map[string]standin.Family, error) {
	return m.families, nil
}

func (m *memoryTx) Stage(_ context.Context, file standin.File, fileName string, rows iter.Seq2[standin.Row, error]) error {
	m.names[file.Name] = fileName
	for row, err := range rows {
		if err != nil {
			return err
		}
		m.staged[file.Name] = append(m.staged[file.Name], row)
	}
	return nil
}

func (m *memoryTx) Check(_ context.Context, limit int) ([]standin.Finding, int, error) {
	m.ended = append(m.ended, "check")
	found := m.found[:min(limit, len(m.found))]
	return append([]standin.Finding(nil), found...), max(m.count, len(m.found)), nil
}

func (m *memoryTx) Diff(context.Context, int) ([]standin.FileDiff, error) {
	m.ended = append(m.ended, "diff")
	var all []standin.FileDiff
	for _, f := range standin.Files {
		if rows := m.staged[f.Name]; rows != nil {
			all = append(all, standin.FileDiff{File: m.names[f.Name], Added: len(rows)})
		}
	}
	return all, nil
}

func (m *memoryTx) Commit(context.Context) (standin.Import, error) {
	m.ended = append(m.ended, "commit")
	return standin.Import{ID: 1, By: m.request.By, Bundle: m.request.Bundle}, nil
}

func (m *memoryTx) Rollback() error {
	m.ended = append(m.ended, "rollback")
	return nil
}

// counting is a store that drops its rows and watches the heap.
type counting struct {
	memory
	rows        int
	first, most uint64 // bytes live after a collection
}

func (c *counting) OpenImport(ctx context.Context, request standin.ImportRequest) (standin.ImportTx, error) {
	tx, err := c.memory.OpenImport(ctx, request)
	return &countingTx{tx, c}, err
}

type countingTx struct {
	standin.ImportTx
	*counting
}

func (t *countingTx) Stage(_ context.Context, _ standin.File, _ string, rows iter.Seq2[standin.Row, error]) error {
	const between = 20_000
	for _, err := range rows {
		if err != nil {
			return err
		}
		if t.rows++; t.rows%between == 0 {
			live := liveHeap()
			if t.first == 0 {
				t.first = live
			}
			t.most = max(t.most, live)
		}
	}
	return nil
}

func liveHeap() uint64 {
	runtime.GC()
	var m runtime.MemStats
	runtime.ReadMemStats(&m)
	return m.HeapAlloc
}

// dropping is a store that drops its rows.
type dropping struct{ memory }

func (d *dropping) OpenImport(ctx context.Context, request standin.ImportRequest) (standin.ImportTx, error) {
	tx, err := d.memory.OpenImport(ctx, request)
	return droppingTx{tx}, err
}

type droppingTx struct{ standin.ImportTx }

func (droppingTx) Stage(_ context.Context, _ standin.File, _ string, rows iter.Seq2[standin.Row, error]) error {
	for _, err := range rows {
		if err != nil {
			return err
		}
	}
	return nil
}
