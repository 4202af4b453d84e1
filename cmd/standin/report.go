package main

import (
	"time"

	"standin"
	"standin/importer"
)

// The JSON of imports. Fields may be added, never renamed.
type (
	reportJSON struct {
		Errors    int           `json:"errors"`
		Warnings  int           `json:"warnings"`
		Findings  []findingJSON `json:"findings"` // the first 1,000
		Read      []readJSON    `json:"read"`
		Files     []fileJSON    `json:"files"`
		Committed bool          `json:"committed"`
		Import    *importJSON   `json:"import"` // null where nothing changed
	}
	findingJSON struct {
		Severity   string `json:"severity"`
		File       string `json:"file"`
		Line       int    `json:"line"`
		Column     string `json:"column"`
		Value      string `json:"value"`
		Code       string `json:"code"`
		Message    string `json:"message"`
		Correction string `json:"correction"`
	}
	readJSON struct {
		File      string `json:"file"`
		Rows      int    `json:"rows"`
		Encoding  string `json:"encoding"`
		Delimiter string `json:"delimiter"`

		Absent []string `json:"absent"` // columns that it does not have
	}
	fileJSON struct {
		File      string       `json:"file"`
		Added     int          `json:"added"`
		Changed   int          `json:"changed"`
		Removed   int          `json:"removed"`
		Unchanged int          `json:"unchanged"`
		LeftOut   int          `json:"left_out"`
		Changes   []changeJSON `json:"changes"`
	}
	changeJSON struct {
		Op     string            `json:"op"`
		Key    map[string]string `json:"key"`
		Fields []fieldJSON       `json:"fields"`

		LiftsStop bool `json:"lifts_stop"`
	}
	fieldJSON struct {
		Column string `json:"column"`
		Before string `json:"before"`
		After  string `json:"after"`
	}
	importJSON struct {
		ID               int64     `json:"id"`
		At               time.Time `json:"at"`
		By               string    `json:"by"`
		Bundle           string    `json:"bundle"`
		CatalogueVersion int64     `json:"catalogue_version"`
		Added            int       `json:"added"`
		Changed          int       `json:"changed"`
		Removed          int       `json:"removed"`
		Undoes           int64     `json:"undoes"`    // 0: none
		UndoneBy         int64     `json:"undone_by"` // 0: none
	}
)

func encodeReport(r *importer.Report) reportJSON {
	report := reportJSON{
		Errors: r.Errors, Warnings: r.Warnings, Committed: r.Committed,
		Findings: each(r.Findings, encodeFinding), Read: each(r.Read, encodeRead), Files: each(r.Files, encodeFile),
	}
	if r.Import.ID != 0 {
		made := encodeImport(r.Import)
		report.Import = &made
	}
	return report
}

func encodeFinding(f standin.Finding) findingJSON {
	return findingJSON{f.Severity.String(), f.File, f.Line, f.Column, f.Value, f.Code, f.Message, f.Correction}
}

func encodeRead(f importer.FileRead) readJSON {
	return readJSON{f.File, f.Rows, f.Encoding, f.Delimiter, append([]string{}, f.Absent...)}
}

func encodeFile(f standin.FileDiff) fileJSON {
	return fileJSON{f.File, f.Added, f.Changed, f.Removed, f.Unchanged, f.LeftOut, each(f.Changes, encodeChange)}
}

func encodeChange(c standin.Change) changeJSON {
	key := map[string]string{}
	for _, f := range c.Key {
		key[f.Column] = f.Value
	}
	return changeJSON{c.Op, key, each(c.Fields, func(f standin.FieldChange) fieldJSON { return fieldJSON(f) }), c.LiftsStop}
}

func encodeImport(i standin.Import) importJSON {
	return importJSON{
		i.ID, i.At.UTC(), i.By, i.Bundle, i.CatalogueVersion, i.Added, i.Changed, i.Removed, i.Undoes, i.UndoneBy,
	}
}

// each is the list with every element encoded; none is an empty list, not null.
func each[A, B any](all []A, encode func(A) B) []B {
	encoded := make([]B, len(all))
	for i, a := range all {
		encoded[i] = encode(a)
	}
	return encoded
}
