package api

import (
	"standin"
	"standin/openapi/gen"
)

func encodeImport(i standin.Import) gen.Import {
	return gen.Import{
		Import: i.ID, At: i.At, By: i.By, Bundle: i.Bundle, CatalogueVersion: i.CatalogueVersion,
		Added: i.Added, Changed: i.Changed, Removed: i.Removed, Undoes: maybeID(i.Undoes), UndoneBy: maybeID(i.UndoneBy),
	}
}

// maybeID is nil for no id.
func maybeID(id int64) *int64 {
	if id == 0 {
		return nil
	}
	return &id
}

func encodeUpload(u standin.Upload) gen.Upload {
	encoded := gen.Upload{
		Upload: u.ID, State: gen.UploadState(u.State), Bundle: u.Bundle, By: u.By, Created: u.Created, Ended: maybeTime(u.Ended),
		Check: u.Options.Check, Replace: texts(u.Options.Replace), ReplaceStock: texts(u.Options.ReplaceStock), Encoding: u.Options.Encoding, Undoes: maybeID(u.Undoes),
		Consents: list(u.Options.Consents, func(c standin.Consent) gen.Consent { return gen.Consent(c) }),
		File:     u.File, Rows: u.Rows, Share: u.Share, Errors: u.Errors, Warnings: u.Warnings,
		Read:  list(u.Read, encodeFileRead),
		Files: list(u.Files, encodeFileChanges), TakeUntil: maybeTime(u.KeptUntil),
	}
	if u.Import.ID != 0 {
		made := encodeImport(u.Import)
		encoded.Import = &made
	}
	if u.Err != nil {
		p := problemOf(u.Err)
		encoded.Problem = &p
	}
	return encoded
}

func encodeFileChanges(f standin.FileDiff) gen.FileChanges {
	return gen.FileChanges{File: f.File, Added: f.Added, Changed: f.Changed, Removed: f.Removed, Unchanged: f.Unchanged}
}

func encodeFinding(f standin.Finding) gen.Finding {
	return gen.Finding{
		Severity: gen.FindingSeverity(f.Severity.String()), File: f.File, Line: f.Line, Column: f.Column, Value: f.Value,
		Code: f.Code, Message: f.Message, Correction: f.Correction,
	}
}

func encodeImportChange(c standin.FileChange) gen.ImportChange {
	key := map[string]string{}
	for _, f := range c.Key {
		key[f.Column] = f.Value
	}
	return gen.ImportChange{
		File: c.File, Op: gen.ImportChangeOp(c.Op), Key: key,
		Fields: list(c.Fields, encodeFieldChange),
	}
}

func encodeFileRead(f standin.FileRead) gen.FileRead {
	return gen.FileRead{File: f.File, Rows: f.Rows, Encoding: f.Encoding, Delimiter: f.Delimiter, Absent: texts(f.Absent)}
}

func encodeFieldChange(f standin.FieldChange) gen.FieldChange {
	return gen.FieldChange{Column: f.Column, Before: f.Before, After: f.After}
}
