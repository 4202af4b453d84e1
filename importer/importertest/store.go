package importertest

import (
	"context"
	"iter"

	"standin"
)

// Store is a store that keeps what is staged, and remembers how it ended.
type Store struct {
	standin.Imports                           // the methods that an import does not need
	Stored          map[string]standin.Family // families
	Found           []standin.Finding         // what Check finds
	Count           int                       // how many there are; 0: as many as found

	Request standin.ImportRequest
	Staged  map[string][]standin.Row // by name in standin.Files
	Names   map[string]string        // what findings call the file
	Ended   []string                 // check, diff, commit, rollback
}

// OpenImport forgets what an earlier import staged.
func (m *Store) OpenImport(_ context.Context, request standin.ImportRequest) (standin.ImportTx, error) {
	m.Request, m.Staged, m.Names = request, map[string][]standin.Row{}, map[string]string{}
	return (*storeTx)(m), nil
}

type storeTx Store

func (m *storeTx) Families(context.Context) (map[string]standin.Family, error) {
	return m.Stored, nil
}

func (m *storeTx) Stage(_ context.Context, file standin.File, fileName string, rows iter.Seq2[standin.Row, error]) error {
	m.Names[file.Name] = fileName
	for row, err := range rows {
		if err != nil {
			return err
		}
		m.Staged[file.Name] = append(m.Staged[file.Name], row)
	}
	return nil
}

func (m *storeTx) Check(_ context.Context, limit int) ([]standin.Finding, int, error) {
	m.Ended = append(m.Ended, "check")
	found := m.Found[:min(limit, len(m.Found))]
	return append([]standin.Finding(nil), found...), max(m.Count, len(m.Found)), nil
}

func (m *storeTx) Warnings(context.Context, int) ([]standin.Finding, int, error) {
	return nil, 0, nil
}

func (m *storeTx) Diff(context.Context, int) ([]standin.FileDiff, error) {
	m.Ended = append(m.Ended, "diff")
	var all []standin.FileDiff
	for _, f := range standin.Files {
		if rows := m.Staged[f.Name]; rows != nil {
			all = append(all, standin.FileDiff{File: m.Names[f.Name], Added: len(rows)})
		}
	}
	return all, nil
}

func (m *storeTx) Commit(context.Context) (standin.Import, error) {
	m.Ended = append(m.Ended, "commit")
	return standin.Import{ID: 1, By: m.Request.By, Bundle: m.Request.Bundle}, nil
}

func (m *storeTx) Rollback() error {
	m.Ended = append(m.Ended, "rollback")
	return nil
}

// Sink is a store that drops its rows and counts them.
type Sink struct {
	Store
	Rows int
	Each func() // called after each row; may be nil
}

// OpenImport opens an import whose rows are counted only.
func (d *Sink) OpenImport(ctx context.Context, request standin.ImportRequest) (standin.ImportTx, error) {
	tx, err := d.Store.OpenImport(ctx, request)
	return sinkTx{tx, d}, err
}

type sinkTx struct {
	standin.ImportTx
	store *Sink
}

func (t sinkTx) Stage(_ context.Context, _ standin.File, _ string, rows iter.Seq2[standin.Row, error]) error {
	for _, err := range rows {
		if err != nil {
			return err
		}
		if t.store.Rows++; t.store.Each != nil {
			t.store.Each()
		}
	}
	return nil
}
