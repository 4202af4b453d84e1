package importer_test

import (
	"context"
	"iter"

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

func (m *memoryTx) Warnings(context.Context, int) ([]standin.Finding, int, error) {
	return nil, 0, nil
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

// dropping is a store that drops its rows and counts them.
type dropping struct {
	memory
	rows int
	each func() // called after each row; may be nil
}

func (d *dropping) OpenImport(ctx context.Context, request standin.ImportRequest) (standin.ImportTx, error) {
	tx, err := d.memory.OpenImport(ctx, request)
	return droppingTx{tx, d}, err
}

type droppingTx struct {
	standin.ImportTx
	store *dropping
}

func (t droppingTx) Stage(_ context.Context, _ standin.File, _ string, rows iter.Seq2[standin.Row, error]) error {
	for _, err := range rows {
		if err != nil {
			return err
		}
		if t.store.rows++; t.store.each != nil {
			t.store.each()
		}
	}
	return nil
}
