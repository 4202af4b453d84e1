package importer

import (
	"context"
	"fmt"
	"slices"

	"standin"
	"standin/importer/table"
)

// mostChanges is how many changed rows of a file a report details.
const mostChanges = 1000

// Options say how a bundle is imported.
type Options struct {
	By       string   // who imports, for the record
	Encoding string   // of text that is neither UTF-8 nor UTF-16, by its name on the web; empty: windows-1252
	Check    bool     // do everything but commit
	Replace  []string // families whose rows that the bundle no longer has are removed
	Shrink   bool     // … even where the bundle has less than half of a file, or seems cut off
	Map      string   // a mapping file, by which the one path is a supplier's table; empty: a bundle
	Upload   string   // the upload that the bundle came by; empty: none

	// Found is called with everything that was found, before anything is written; may
	// be nil. An error ends the import.
	Found func(context.Context, *Report) error

	ReplaceStock     []string // locations of which the bundle has all the stock; it must have some
	SkipUnknownStock bool     // leave out stock of what is not in the catalogue
	LiftStops        bool     // consent to lift supply stops

	Progress func(Progress) // is called with how far the import is, in the goroutine of Run; may be nil
}

// refusesLess reports whether a file that was cut off would have rows removed.
func (o Options) refusesLess() bool { return len(o.Replace) > 0 && !o.Shrink }

// Run imports the bundle that the paths make together: folders, zips and single
// CSV files. It imports all of it or, where the bundle has an error or is only to be
// checked, nothing. What is wrong with the bundle is in the report, not in the
// error, which is a *standin.Error or the context's: CodeBadRequest where a path or
// the encoding is unknown, else the store's.
func Run(ctx context.Context, store standin.Imports, paths []string, o Options) (*Report, error) {
	other, err := otherCharset(o.Encoding)
	if err != nil {
		return nil, err
	}
	out := &table.Findings{}
	b, err := openPaths(paths, o.Map, other, out)
	if err != nil {
		return nil, err
	}
	defer b.Close()
	b.progress = newProgress(o.Progress, b.files)
	report := &Report{}
	tables := b.tables(ctx, other)
	if len(tables) == 0 && ctx.Err() != nil {
		return nil, context.Cause(ctx)
	}
	if len(tables) > 0 {
		if err := o.check(tables, b); err != nil {
			return nil, err
		}
		tx, err := store.OpenImport(ctx, standin.ImportRequest{By: o.By, Bundle: b.name, Replace: o.Replace, Shrink: o.Shrink,
			ReplaceStock: o.ReplaceStock, SkipUnknownStock: o.SkipUnknownStock, LiftStops: o.LiftStops, Upload: o.Upload})
		if err != nil {
			return nil, err
		}
		defer tx.Rollback() // after Commit it does nothing
		if err := report.fill(ctx, tx, tables, b, o); err != nil {
			return nil, err
		}
	}
	report.tally(out)
	return report, nil
}

// check refuses to replace stock by a bundle that has none.
func (o Options) check(tables []table.Table, b *bundle) error {
	has := b.lost["stock"] || slices.ContainsFunc(tables, func(t table.Table) bool { return t.File.Name == "stock" })
	if len(o.ReplaceStock) == 0 || has {
		return nil
	}
	return &standin.Error{Code: standin.CodeBadRequest, Field: "replace-stock",
		Message: fmt.Sprintf("the bundle has no stock.csv by which to replace the stock of %s", table.List(o.ReplaceStock))}
}

// fill stages, checks and commits the tables, as far as their errors allow.
func (r *Report) fill(ctx context.Context, tx standin.ImportTx, tables []table.Table, b *bundle, o Options) error {
	if err := r.stage(ctx, tx, tables, b, o); err != nil {
		return err
	}
	b.progress.enter(PhaseChecking, b.progress.now.Rows)
	found, count, err := tx.Check(ctx, table.MostFindings)
	if err != nil {
		return err
	}
	kept := ofOrigin(tables, withoutFollowUps(found, b.lost))
	b.out.AddMany(kept, count-(len(found)-len(kept)))
	warned, count, err := tx.Warnings(ctx, table.MostFindings)
	if err != nil {
		return err
	}
	kept = ofOrigin(tables, warned)
	b.out.AddMany(kept, count-(len(warned)-len(kept)))
	if b.out.Errors() > 0 {
		return nil
	}
	if r.Files, err = tx.Diff(ctx, mostChanges); err != nil || o.Check {
		return err
	}
	if r.tally(b.out); o.Found != nil {
		if err := o.Found(ctx, r); err != nil {
			return err
		}
	}
	added, changed, removed := r.changes()
	b.progress.enter(PhaseWriting, added+changed+removed)
	r.Import, err = tx.Commit(ctx)
	r.Committed = err == nil
	return err
}

// tally takes over what was found up to now.
func (r *Report) tally(out *table.Findings) {
	r.Findings, r.Errors, r.Warnings = out.First(), out.Errors(), out.Warnings()
}

// stage reads the tables one after the other and passes their rows on.
func (r *Report) stage(ctx context.Context, tx standin.ImportTx, tables []table.Table, b *bundle, o Options) error {
	stored, err := tx.Families(ctx)
	if err != nil {
		return err
	}
	families := storedShapes(stored)
	for _, t := range tables {
		in, ok := begin(ctx, t, families, b.out)
		if !ok && ctx.Err() != nil {
			return context.Cause(ctx)
		}
		if !ok {
			b.lost[t.File.Name] = true
			continue
		}
		err := tx.Stage(ctx, t.File, t.Name, b.progress.counting(t.Name, in.all(ctx)))
		in.in.Close()
		if err != nil {
			return err
		}
		reading := in.in.Read()
		read := FileRead{File: t.Name, Rows: in.count, Encoding: reading.Encoding, Delimiter: reading.Delimiter,
			Absent: in.bound.left(t.File)}
		for _, remark := range reading.Remarks {
			x := remark.In(t.Name)
			if x.Code == standin.CutShort && o.refusesLess() {
				x.Severity = standin.SeverityError // what was cut off would be removed
			}
			t.Report(b.out, x, 0)
		}
		if in.gaps {
			b.lost[t.File.Name] = true
		}
		r.Read = append(r.Read, read)
	}
	return nil
}
