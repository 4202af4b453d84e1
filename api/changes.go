package api

import (
	"cmp"
	"context"
	"encoding/json"
	"net/http"
	"strconv"
	"strings"
	"time"

	"standin"
	"standin/openapi/gen"
)

// ListChanges is what changed after a position, waited for where that is asked.
func (h *handlers) ListChanges(ctx context.Context, request gen.ListChangesRequestObject) (gen.ListChangesResponseObject, error) {
	after, err := decodePosition(request.Params.After)
	if err != nil {
		return nil, err
	}
	limit := cmp.Or(deref(request.Params.Limit), defaultChanges)
	rows, err := h.shop.ReadFeed(ctx, after, limit)
	if err != nil {
		return nil, err
	}
	if wait := time.Duration(deref(request.Params.Wait)) * time.Second; len(rows) == 0 && wait > 0 {
		if err := h.awaitFeed(ctx, after, wait); err != nil {
			return nil, err
		}
		if rows, err = h.shop.ReadFeed(ctx, after, limit); err != nil {
			return nil, err
		}
	}
	if len(rows) > 0 {
		after = rows[len(rows)-1].FeedPosition
	}
	return changesPage{rows, encodePosition(after)}, nil
}

// changesPage is a page of changes. Its rows are JSON that the database has made,
// and are written as they are: encoding/json would look through each of them once
// more, which takes longer than to read them.
type changesPage struct {
	rows []standin.FeedRow
	next string
}

// VisitListChangesResponse writes the page as gen.Changes would be.
func (p changesPage) VisitListChangesResponse(w http.ResponseWriter) error {
	const about = 512 // bytes of a change
	text := append(make([]byte, 0, about*(len(p.rows)+1)), `{"changes":[`...)
	for i, row := range p.rows {
		if i > 0 {
			text = append(text, ',')
		}
		text = appendChange(text, row)
	}
	text = append(appendQuoted(append(text, `],"next":`...), p.next), '}', '\n')
	w.Header().Set("Content-Type", "application/json")
	w.WriteHeader(http.StatusOK)
	_, err := w.Write(text)
	return err
}

func appendChange(text []byte, r standin.FeedRow) []byte {
	text = r.At.AppendFormat(append(text, `{"at":"`...), time.RFC3339Nano)
	text = appendQuoted(append(text, `","by":`...), r.By)
	if text = append(text, `,"import":`...); r.Import != 0 {
		text = strconv.AppendInt(text, r.Import, 10)
	} else {
		text = append(text, "null"...)
	}
	text = appendQuoted(append(text, `,"kind":`...), r.Kind)
	for _, field := range []struct {
		name string
		row  json.RawMessage
	}{{"key", r.Key}, {"before", r.Before}, {"after", r.After}} {
		text = append(append(append(text, `,"`...), field.name...), `":`...)
		if field.row == nil {
			text = append(text, "null"...)
		} else {
			text = append(text, field.row...)
		}
	}
	return append(text, '}')
}

// appendQuoted appends text as JSON.
func appendQuoted(text []byte, s string) []byte {
	if strings.ContainsFunc(s, func(r rune) bool { return r < ' ' || r > '~' || r == '"' || r == '\\' }) {
		encoded, _ := json.Marshal(s) // strings always encode
		return append(text, encoded...)
	}
	return append(append(append(text, '"'), s...), '"')
}

// awaitFeed waits for a change, and no longer than the service is to last.
func (h *handlers) awaitFeed(ctx context.Context, after standin.FeedPosition, wait time.Duration) error {
	ctx, cancel := context.WithCancel(ctx)
	defer cancel()
	go func() {
		select {
		case <-h.stopping:
			cancel()
		case <-ctx.Done():
		}
	}()
	return h.shop.AwaitFeed(ctx, after, wait)
}

func encodePosition(p standin.FeedPosition) string {
	return encodeCursor(strconv.FormatInt(p.Version, 10), strconv.Itoa(p.Seq))
}

func decodePosition(after *string) (p standin.FeedPosition, err error) {
	if after == nil {
		return p, nil
	}
	key, err := decodeCursor(after, 2)
	if err == nil {
		if p.Version, err = strconv.ParseInt(key[0], 10, 64); err == nil {
			p.Seq, err = strconv.Atoi(key[1])
		}
	}
	if err != nil || p.Version < 0 || p.Seq < 0 {
		return p, badField("after", "after is not the next of an answer of this call; leave it out and begin a new copy")
	}
	return p, nil
}
