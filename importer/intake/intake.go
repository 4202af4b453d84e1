// Package intake checks and imports bundles in the background, for whoever sends them
// over HTTP. Files are received into a folder (receive.go), bundles are worked on one
// after the other (work.go), and what is known of each is kept in a database by
// whoever implements Uploads, so that every service can be asked.
package intake

import (
	"cmp"
	"context"
	"crypto/rand"
	"errors"
	"fmt"
	"io"
	"log/slog"
	"os"
	"sync"
	"sync/atomic"
	"time"

	"standin"
	"standin/importer"
	"standin/importer/mapping"
)

// Uploads is where uploads are kept. Every error is an *standin.Error. What changes an
// upload reports whether it is still the service's to work on.
type Uploads interface {
	AddUpload(ctx context.Context, server string, u standin.Upload, once standin.Once) (kept standin.Upload, isNew bool, err error)
	Again(ctx context.Context, id, by string, once standin.Once, change func(*standin.UploadOptions)) (standin.Upload, error)
	UploadOf(ctx context.Context, id string) (standin.Upload, error)
	UploadOfImport(ctx context.Context, imported int64) (u standin.Upload, kept bool, err error)
	AwaitUpload(ctx context.Context, id string, wait time.Duration) error
	FindingsOf(ctx context.Context, id string, after, limit int) ([]standin.Finding, error)
	ChangesOf(ctx context.Context, id string, after, limit int) ([]standin.FileChange, error)

	// Live says that the service lives, and returns its uploads that are to be
	// imported or are kept.
	Live(ctx context.Context, server string) ([]standin.Upload, error)
	Progress(ctx context.Context, server string, u standin.Upload) (bool, error)
	Found(ctx context.Context, server, id string, found standin.UploadFound) (bool, error)
	End(ctx context.Context, server, id string, state standin.UploadState, why *standin.Error, kept time.Duration) (bool, error)
	LetGo(ctx context.Context, server, id string) (bool, error)
}

// Catalogue is where bundles go in.
type Catalogue interface {
	standin.Imports
	ImportChanges(ctx context.Context, id int64, after, limit int) ([]standin.FileChange, error)
}

// Config is what New needs.
type Config struct {
	Catalogue Catalogue
	Uploads   Uploads
	Known     mapping.Vocabulary // by which columns of suppliers' tables are known; nil: without one
	Dir       string             // for the files that are received; what an ended service left there is removed
	MostBytes int64              // of one upload; 0: 256 MiB
	Most      int                // uploads that are received, waiting or under way; 0: 8
	Kept      time.Duration      // how long the files of what was only checked are kept; 0: an hour
	Log       *slog.Logger       // nil: nothing is logged
}

const (
	mostBytes = 256 << 20
	mostAtOne = 8
	keptTime  = time.Hour
)

// Service checks and imports bundles in the background. It is safe for concurrent use.
type Service struct {
	config Config
	server string // this run of the service
	folder *folder
	places chan struct{} // one per upload that is received, waiting or under way
	wake   chan struct{} // there may be a job
	look   chan struct{} // something may have been taken
	stop   context.CancelFunc
	ended  sync.WaitGroup

	mu    sync.Mutex
	queue []*job
	live  map[string]*job // those queued, under way or kept
	now   atomic.Pointer[standin.Upload]
	count counts // with mu
}

var _ standin.Intake = (*Service)(nil)

// New starts the service. The caller ends it with Close.
func New(config Config) (*Service, error) {
	config.MostBytes, config.Most = cmp.Or(config.MostBytes, mostBytes), cmp.Or(config.Most, mostAtOne)
	config.Kept = cmp.Or(config.Kept, keptTime)
	if config.Log == nil {
		config.Log = slog.New(slog.DiscardHandler)
	}
	folder, err := openFolder(config.Dir)
	if err != nil {
		return nil, err
	}
	ctx, stop := context.WithCancel(context.Background())
	s := &Service{
		config: config, server: rand.Text(), folder: folder, places: make(chan struct{}, config.Most), wake: make(chan struct{}, 1), look: make(chan struct{}, 1),
		stop: stop, live: map[string]*job{}, count: counts{ended: map[standin.UploadState]int{}},
	}
	s.ended.Go(func() { s.work(ctx) })
	s.ended.Go(func() { s.stayAlive(ctx) })
	return s, nil
}

// Close breaks off what is under way, of which nothing is imported then, and removes
// every file.
func (s *Service) Close() error {
	s.stop()
	s.ended.Wait()
	return s.folder.close()
}

// UndoUpload has an import be undone.
func (s *Service) UndoUpload(ctx context.Context, imported int64, consents standin.Consents, by string, once standin.Once) (standin.Upload, error) {
	if _, err := s.config.Catalogue.ImportOf(ctx, imported); err != nil {
		return standin.Upload{}, err
	}
	if err := s.enter(); err != nil {
		return standin.Upload{}, err
	}
	return s.submit(ctx, &job{room: s.places}, standin.Upload{
		By: by, Bundle: fmt.Sprintf("undo of import %d", imported), Undoes: imported, Options: standin.UploadOptions{Consents: consents},
	}, once)
}

// submit keeps a new upload and queues it. The job has a place, which is given up
// where the upload is not new.
func (s *Service) submit(ctx context.Context, j *job, u standin.Upload, once standin.Once) (standin.Upload, error) {
	kept, isNew, err := s.config.Uploads.AddUpload(ctx, s.server, u, once)
	if err != nil || !isNew {
		j.end()
		return kept, err
	}
	j.upload = kept
	s.enqueue(j)
	return kept, nil
}

// enter takes a place. Where there is none, the upload is refused.
func (s *Service) enter() error {
	select {
	case s.places <- struct{}{}:
		return nil
	default:
		s.counted(func(c *counts) { c.busy++ })
		return &standin.Error{Code: standin.CodeBusy, Message: "as many bundles as are accepted are being received, waiting or imported; send it again in a while"}
	}
}

// Take imports an upload that was only checked.
func (s *Service) Take(ctx context.Context, id string, consents standin.Consents, by string, once standin.Once) (standin.Upload, error) {
	taken, err := s.config.Uploads.Again(ctx, id, by, once, func(o *standin.UploadOptions) { o.Check, o.Consents = false, consents })
	s.wakeUp()
	return taken, err
}

// Propose returns the mapping of an upload, or one that is proposed for it.
func (s *Service) Propose(ctx context.Context, id string) (standin.Proposal, error) {
	u, err := s.config.Uploads.UploadOf(ctx, id)
	if err != nil {
		return standin.Proposal{}, err
	}
	s.mu.Lock()
	j := s.live[id]
	s.mu.Unlock()
	if u.KeptUntil.IsZero() || j == nil || j.files == nil || len(j.files.paths) != 1 {
		return standin.Proposal{}, &standin.Error{Code: standin.CodeConflict, Field: "id",
			Message: "this service does not have the one table of upload " + id + " any more; send it again"}
	}
	text := u.Options.Mapping
	if text == "" && j.files.mapping != "" {
		sent, err := os.ReadFile(j.files.mapping)
		if err != nil {
			return standin.Proposal{}, writeError(err)
		}
		text = string(sent)
	}
	return importer.ProposeLines(ctx, j.files.paths[0], text, importer.ProposeOptions{Encoding: u.Options.Encoding, Vocabulary: s.config.Known})
}

// Remap has an upload be checked again by another mapping.
func (s *Service) Remap(ctx context.Context, id, mapping string, values map[int]string, by string, once standin.Once) (standin.Upload, error) {
	changed, err := importer.RewriteMapping(mapping, values)
	if err != nil {
		return standin.Upload{}, err
	}
	u, err := s.config.Uploads.Again(ctx, id, by, once, func(o *standin.UploadOptions) { o.Mapping = changed })
	s.wakeUp()
	return u, err
}

// UploadOf returns one upload.
func (s *Service) UploadOf(ctx context.Context, id string) (standin.Upload, error) {
	return s.config.Uploads.UploadOf(ctx, id)
}

// UploadOfImport returns the upload that made an import, or no more than the import.
func (s *Service) UploadOfImport(ctx context.Context, imported int64) (standin.Upload, error) {
	u, kept, err := s.config.Uploads.UploadOfImport(ctx, imported)
	if err != nil || kept {
		return u, err
	}
	made, err := s.config.Catalogue.ImportOf(ctx, imported)
	return standin.Upload{Created: made.At, Ended: made.At, By: made.By, Bundle: made.Bundle, Undoes: made.Undoes,
		State: standin.UploadDone, Import: made}, err
}

// AwaitUpload waits for the end of an upload.
func (s *Service) AwaitUpload(ctx context.Context, id string, wait time.Duration) error {
	return s.config.Uploads.AwaitUpload(ctx, id, wait)
}

// FindingsOf returns the findings of an upload.
func (s *Service) FindingsOf(ctx context.Context, id string, after, limit int) ([]standin.Finding, error) {
	return s.config.Uploads.FindingsOf(ctx, id, after, limit)
}

// ChangesOf returns the rows that an upload changes or would change.
func (s *Service) ChangesOf(ctx context.Context, u standin.Upload, after, limit int) ([]standin.FileChange, error) {
	if u.Import.ID != 0 {
		return s.config.Catalogue.ImportChanges(ctx, u.Import.ID, after, limit)
	}
	return s.config.Uploads.ChangesOf(ctx, u.ID, after, limit)
}

// ListImports returns imports, newest first.
func (s *Service) ListImports(ctx context.Context, before int64, limit int) ([]standin.Import, error) {
	return s.config.Catalogue.ListImports(ctx, before, limit)
}

// EncodeFindings writes findings as CSV.
func (s *Service) EncodeFindings(out io.Writer, findings []standin.Finding) error {
	return importer.EncodeFindings(out, findings)
}

// errorOf is any error as one for people.
func errorOf(err error) *standin.Error {
	if known, ok := errors.AsType[*standin.Error](err); ok {
		return known
	}
	return &standin.Error{Code: standin.CodeUnavailable, Message: "the import was broken off; nothing was imported", Cause: err}
}
