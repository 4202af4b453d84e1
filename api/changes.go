package api

import (
	"cmp"
	"context"
	"encoding/json"
	"strconv"
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
	return gen.ListChanges200JSONResponse{Changes: list(rows, encodeChange), Next: encodePosition(after)}, nil
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

func encodeChange(r standin.FeedRow) gen.Change {
	c := gen.Change{At: r.At, By: r.By, Kind: r.Kind, Key: r.Key, Before: maybeRow(r.Before), After: maybeRow(r.After)}
	if r.Import != 0 {
		c.Import = &r.Import
	}
	return c
}

func maybeRow(row json.RawMessage) *json.RawMessage {
	if row == nil {
		return nil
	}
	return &row
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
