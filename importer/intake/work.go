package intake

import (
	"context"
	"slices"
	"time"

	"standin"
	"standin/importer"
)

const (
	beat     = time.Second     // between two signs of life, and two reports of progress
	endTime  = 5 * time.Second // for keeping how an upload ended, when the service stops
	mostKept = 8               // checked uploads whose files are kept
)

// job is an upload that this service works on or keeps.
type job struct {
	upload   standin.Upload
	files    *files        // nil: an undo
	room     chan struct{} // its place; nil: it has none
	checked  time.Time     // when it was; zero: it is queued or under way
	keeps    bool          // it was only to be checked at first: a refusal leaves its files
	breakOff context.CancelCauseFunc
}

// end gives the files and the place up.
func (j *job) end() {
	j.leave()
	if j.files != nil {
		j.files.remove()
	}
}

// leave gives the place up.
func (j *job) leave() {
	if j.room != nil {
		<-j.room
		j.room = nil
	}
}

// enqueue puts a job behind the others.
func (s *Service) enqueue(j *job) {
	s.mu.Lock()
	j.checked = time.Time{}
	s.live[j.upload.ID] = j
	s.queue = append(s.queue, j)
	s.mu.Unlock()
	s.wakeUp()
}

// wakeUp has the service look for what is to be done.
func (s *Service) wakeUp() {
	for _, wake := range []chan struct{}{s.wake, s.look} {
		select {
		case wake <- struct{}{}:
		default: // it will look anyway
		}
	}
}

// work works on one job after the other until the context ends.
func (s *Service) work(ctx context.Context) {
	for ctx.Err() == nil {
		s.mu.Lock()
		var next *job
		if len(s.queue) > 0 {
			next, s.queue = s.queue[0], s.queue[1:]
		}
		s.mu.Unlock()
		if next == nil {
			select {
			case <-ctx.Done():
			case <-s.wake:
			}
			continue
		}
		s.workOn(ctx, next)
	}
	s.giveUp(ctx)
}

// giveUp ends what is left when the service stops.
func (s *Service) giveUp(ctx context.Context) {
	s.mu.Lock()
	defer s.mu.Unlock()
	for _, j := range s.live {
		if j.checked.IsZero() {
			s.keepEnd(ctx, j, standin.UploadFailed, errStopped, 0)
		} else {
			rest, cancel := context.WithTimeout(context.WithoutCancel(ctx), endTime)
			_, _ = s.config.Uploads.LetGo(rest, s.server, j.upload.ID) // else its silence says it
			cancel()
		}
		j.end()
	}
	clear(s.live)
}

var errStopped = &standin.Error{Code: standin.CodeUnavailable, Message: "the service was stopped; nothing was imported, send it again"}

// workOn checks or imports one bundle, or undoes an import, and keeps how it ended.
func (s *Service) workOn(ctx context.Context, j *job) {
	inner, breakOff := context.WithCancelCause(ctx)
	defer breakOff(nil)
	s.mu.Lock()
	j.breakOff = breakOff
	s.mu.Unlock()
	now := j.upload
	s.now.Store(&now)
	defer s.now.Store(nil)
	state, err := s.attempt(inner, j)
	if ctx.Err() != nil && err != nil {
		err = errStopped
	}
	var why *standin.Error
	if err != nil {
		why = errorOf(err)
		state = standin.UploadFailed
		if why.Code == standin.CodeRejected || why.Code == standin.CodeConflict || why.Code == standin.CodeBadRequest {
			state = standin.UploadRefused
		}
		s.config.Log.WarnContext(ctx, "an upload ended without an import", "upload", j.upload.ID, "state", state, "error", err)
	}
	kept := time.Duration(0)
	j.keeps = j.keeps || j.upload.Options.Check
	if j.keeps && (state == standin.UploadChecked || state == standin.UploadRefused) {
		kept = s.config.Kept
	}
	s.keepEnd(ctx, j, state, why, kept)
	s.counted(func(c *counts) { c.ended[state]++ })
	s.mu.Lock()
	defer s.mu.Unlock()
	j.breakOff = nil
	if kept > 0 {
		j.leave()
		j.checked = time.Now()
		return
	}
	j.end()
	delete(s.live, j.upload.ID)
}

// keepEnd keeps how an upload ended. Where the database is away, the silence about it
// says in a while that it was lost, unless it was imported.
func (s *Service) keepEnd(ctx context.Context, j *job, state standin.UploadState, why *standin.Error, kept time.Duration) {
	rest, cancel := context.WithTimeout(context.WithoutCancel(ctx), endTime)
	defer cancel()
	if _, err := s.config.Uploads.End(rest, s.server, j.upload.ID, state, why, kept); err != nil {
		s.config.Log.WarnContext(ctx, "how an upload ended could not be kept", "upload", j.upload.ID, "state", state, "error", err)
	}
}

// attempt does what an upload is for.
func (s *Service) attempt(ctx context.Context, j *job) (standin.UploadState, error) {
	if j.upload.Undoes != 0 {
		now := j.upload
		now.State = standin.UploadWriting
		s.now.Store(&now)
		_, err := s.config.Catalogue.Undo(ctx, j.upload.Undoes, standin.UndoRequest{
			By: j.upload.By, LiftStops: j.upload.Options.Consents.Has(standin.LiftStops), Upload: j.upload.ID,
		})
		return standin.UploadDone, err
	}
	u := j.upload
	if err := j.files.mapBy(u.Options.Mapping); err != nil {
		return "", err
	}
	report, err := importer.Run(ctx, s.config.Catalogue, j.files.paths, importer.Options{
		By: u.By, Encoding: u.Options.Encoding, Check: u.Options.Check, Map: j.files.mapping, Upload: u.ID,
		Replace: u.Options.Replace, Shrink: u.Options.Consents.Has(standin.Shrink),
		ReplaceStock: u.Options.ReplaceStock, SkipUnknownStock: u.Options.Consents.Has(standin.SkipUnknownStock),
		LiftStops: u.Options.Consents.Has(standin.LiftStops),
		Progress: func(p importer.Progress) {
			now := u
			now.State, now.File, now.Rows, now.Share = standin.UploadState(p.Phase), p.File, p.Rows, p.Share
			s.now.Store(&now)
		},
		Found: func(ctx context.Context, found *importer.Report) error { return s.found(ctx, j, found) },
	})
	if err != nil {
		return "", err
	}
	if !report.Committed {
		if err := s.found(ctx, j, report); err != nil {
			return "", err
		}
	}
	switch {
	case report.Errors > 0:
		return standin.UploadRefused, &standin.Error{Code: standin.CodeRejected, Message: report.Summary()}
	case u.Options.Check:
		return standin.UploadChecked, nil
	}
	return standin.UploadDone, nil
}

// found keeps what was found, before anything is imported.
func (s *Service) found(ctx context.Context, j *job, report *importer.Report) error {
	mine, err := s.config.Uploads.Found(ctx, s.server, j.upload.ID, standin.UploadFound{
		Errors: report.Errors, Warnings: report.Warnings, Findings: report.Findings, Read: report.Read, Files: report.Files,
	})
	if err == nil && !mine {
		err = errLost
	}
	return err
}

var errLost = &standin.Error{Code: standin.CodeUnavailable, Message: "the service was silent for too long; nothing was imported, send it again"}

// stayAlive says once a second that the service lives and how far it is, as long as
// there is anything to say, and takes in what was taken.
func (s *Service) stayAlive(ctx context.Context) {
	tick := time.NewTicker(beat)
	defer tick.Stop()
	for {
		select {
		case <-ctx.Done():
			return
		case <-tick.C:
		case <-s.look:
		}
		s.mu.Lock()
		idle := len(s.live) == 0
		s.mu.Unlock()
		if !idle {
			s.report(ctx)
			s.hear(ctx)
			s.letGo(ctx)
		}
	}
}

// report keeps how far the upload under way is. One that was given up meanwhile is
// broken off.
func (s *Service) report(ctx context.Context) {
	now := s.now.Load()
	if now == nil || now.State == standin.UploadWaiting {
		return
	}
	mine, err := s.config.Uploads.Progress(ctx, s.server, *now)
	if err != nil || mine {
		return
	}
	s.mu.Lock()
	defer s.mu.Unlock()
	if j := s.live[now.ID]; j != nil && j.breakOff != nil && now.State != standin.UploadWriting {
		j.breakOff(errLost)
	}
}

// hear has what was taken be imported.
func (s *Service) hear(ctx context.Context) {
	heard, err := s.config.Uploads.Live(ctx, s.server)
	if err != nil {
		s.config.Log.DebugContext(ctx, "no sign of life could be given", "error", err)
		return
	}
	for _, u := range heard {
		s.mu.Lock()
		j := s.live[u.ID]
		taken := j != nil && !j.checked.IsZero() && u.State == standin.UploadWaiting
		s.mu.Unlock()
		if taken {
			j.upload.Options, j.upload.By, j.upload.State = u.Options, u.By, u.State
			s.enqueue(j)
		}
	}
}

// letGo removes the files of what was checked long ago, and of the oldest where there
// are too many.
func (s *Service) letGo(ctx context.Context) {
	s.mu.Lock()
	var kept []*job
	for _, j := range s.live {
		if !j.checked.IsZero() {
			kept = append(kept, j)
		}
	}
	s.mu.Unlock()
	slices.SortFunc(kept, func(a, b *job) int { return b.checked.Compare(a.checked) })
	for i, j := range kept {
		if i < mostKept && time.Since(j.checked) < s.config.Kept {
			continue
		}
		gone, err := s.config.Uploads.LetGo(ctx, s.server, j.upload.ID)
		if err != nil || !gone {
			continue
		}
		s.mu.Lock()
		delete(s.live, j.upload.ID)
		s.mu.Unlock()
		j.end()
	}
}
