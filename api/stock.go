package api

import (
	"cmp"
	"context"
	"strconv"
	"strings"
	"time"

	"standin"
	"standin/openapi/gen"
)

// ListStock is one page of stock lines.
func (h *handlers) ListStock(ctx context.Context, request gen.ListStockRequestObject) (gen.ListStockResponseObject, error) {
	after, err := decodeCursor(request.Params.After, 4)
	if err != nil {
		return nil, err
	}
	limit := cmp.Or(deref(request.Params.Limit), defaultLimit)
	filter := standin.StockFilter{Location: deref(request.Params.Location), PartNumber: deref(request.Params.PartNumber)}
	lines, err := h.shop.ListStock(ctx, filter, standin.StockKey{Location: after[0], PartNumber: after[1], Revision: after[2], Condition: after[3]}, limit+1)
	if err != nil {
		return nil, err
	}
	lines, last, more := page(lines, limit)
	answer := gen.ListStock200JSONResponse{Body: gen.StockLines{Lines: list(lines, encodeLine)}}
	if more {
		answer.Headers.Link = h.nextOf("/v1/stock", filter, limit, nil, last.Location, last.PartNumber, last.Revision, last.Condition)
	}
	return answer, nil
}

// GetStock is one stock line.
func (h *handlers) GetStock(ctx context.Context, request gen.GetStockRequestObject) (gen.GetStockResponseObject, error) {
	line, err := h.shop.StockOf(ctx, lineKey(request.Location, request.PartNumber, request.Params.Revision, request.Params.Condition))
	if err != nil {
		return nil, err
	}
	tag := lineTag(line)
	if holdsTag([]string{deref(request.Params.IfNoneMatch)}, *tag) {
		return gen.GetStock304Response{Headers: gen.GetStock304ResponseHeaders{ETag: tag}}, nil
	}
	return gen.GetStock200JSONResponse{Body: encodeLine(line), Headers: gen.GetStock200ResponseHeaders{ETag: tag}}, nil
}

// PutStock sets how many pieces a line has.
func (h *handlers) PutStock(ctx context.Context, request gen.PutStockRequestObject) (gen.PutStockResponseObject, error) {
	if err := checkTexts(request.Body); err != nil {
		return nil, err
	}
	put := standin.StockPut{
		StockKey: lineKey(request.Location, request.PartNumber, request.Params.Revision, request.Params.Condition),
		Quantity: request.Body.Quantity, Absent: request.Params.IfNoneMatch != nil,
		By: bearer(ctx).Name, Reason: deref(request.Body.Reason), Reference: deref(request.Body.Reference),
	}
	if err := mayAt(ctx, put.Location, "location"); err != nil {
		return nil, err
	}
	if tag := request.Params.IfMatch; tag != nil && strings.TrimSpace(*tag) != "*" {
		put.Match = strings.Trim(strings.TrimSpace(*tag), `"`)
		if put.Match == "" {
			return nil, badField("If-Match", "If-Match is the ETag that the line was answered with")
		}
	}
	line, created, err := h.shop.PutStock(ctx, put)
	switch {
	case err != nil:
		return nil, err
	case created:
		return gen.PutStock201JSONResponse{Body: encodeLine(line), Headers: gen.PutStock201ResponseHeaders{ETag: lineTag(line)}}, nil
	}
	return gen.PutStock200JSONResponse{Body: encodeLine(line), Headers: gen.PutStock200ResponseHeaders{ETag: lineTag(line)}}, nil
}

// PutLocation sets all that is at a location.
func (h *handlers) PutLocation(ctx context.Context, request gen.PutLocationRequestObject) (gen.PutLocationResponseObject, error) {
	if err := checkTexts(request.Body); err != nil {
		return nil, err
	}
	if err := mayAt(ctx, request.Location, "location"); err != nil {
		return nil, err
	}
	counted, err := h.shop.PutLocation(ctx, standin.LocationPut{
		Location: request.Location, SkipUnknown: deref(request.Params.SkipUnknown), By: bearer(ctx).Name,
		Reason: deref(request.Body.Reason), Reference: deref(request.Body.Reference),
		Counts: list(request.Body.Lines, func(c gen.CountAsked) standin.Count {
			return standin.Count{PartNumber: c.PartNumber, Revision: deref(c.Revision), Condition: string(c.Condition), Quantity: c.Quantity}
		}),
	})
	if err != nil {
		return nil, err
	}
	return gen.PutLocation200JSONResponse{
		Added: counted.Added, Changed: counted.Changed, Unchanged: counted.Unchanged,
		Unknown: list(counted.Unknown, func(k standin.StockKey) gen.StockKey {
			return gen.StockKey{Location: k.Location, PartNumber: k.PartNumber, Revision: k.Revision, Condition: gen.Condition(k.Condition)}
		}),
		Short: list(counted.Short, encodeLine),
	}, nil
}

// ListMoves is one page of moves.
func (h *handlers) ListMoves(ctx context.Context, request gen.ListMovesRequestObject) (gen.ListMovesResponseObject, error) {
	after, err := decodeID(request.Params.After)
	if err != nil {
		return nil, err
	}
	limit := cmp.Or(deref(request.Params.Limit), defaultLimit)
	filter := standin.StockFilter{Location: deref(request.Params.Location), PartNumber: deref(request.Params.PartNumber)}
	moves, err := h.shop.ListMoves(ctx, filter, after, limit+1)
	if err != nil {
		return nil, err
	}
	moves, last, more := page(moves, limit)
	answer := gen.ListMoves200JSONResponse{Body: gen.Moves{Moves: list(moves, encodeMove)}}
	if more {
		answer.Headers.Link = h.nextOf("/v1/stock/moves", filter, limit, nil, strconv.FormatInt(last.ID, 10))
	}
	return answer, nil
}

// AddMove receives, sells, moves or counts stock.
func (h *handlers) AddMove(ctx context.Context, request gen.AddMoveRequestObject) (gen.AddMoveResponseObject, error) {
	asked := request.Body
	if err := checkTexts(asked); err != nil {
		return nil, err
	}
	promise, err := once(ctx, request.Params.IdempotencyKey, "addMove", asked)
	if err != nil {
		return nil, err
	}
	move := standin.NewMove{
		StockKey: lineKey(asked.Location, asked.PartNumber, asked.Revision, &asked.Condition),
		Kind:     standin.MoveKind(asked.Kind), To: deref(asked.To), Quantity: asked.Quantity,
		By: bearer(ctx).Name, Reason: deref(asked.Reason), Reference: deref(asked.Reference),
	}
	if err := mayAt(ctx, move.Location, "location"); err != nil {
		return nil, err
	}
	if move.Kind == standin.MoveMoved {
		if err := mayAt(ctx, move.To, "to"); err != nil {
			return nil, err
		}
	}
	made, err := h.shop.MoveStock(ctx, move, promise)
	if err != nil {
		return nil, err
	}
	return gen.AddMove201JSONResponse(encodeMove(made)), nil
}

func lineKey(location, part string, revision *string, condition *gen.Condition) standin.StockKey {
	return standin.StockKey{
		Location: location, PartNumber: part, Revision: deref(revision), Condition: string(cmp.Or(deref(condition), gen.ConditionNew)),
	}
}

func lineTag(line standin.StockRecord) *string {
	tag := `"` + line.Tag + `"`
	return &tag
}

func encodeLine(r standin.StockRecord) gen.StockLine {
	return gen.StockLine{
		Location: r.Location, PartNumber: r.PartNumber, Revision: r.Revision, Condition: gen.Condition(r.Condition),
		Kind: gen.StockLineKind(r.Kind), Quantity: r.Quantity, Held: r.Held, Free: r.Free(), Short: r.Short(),
	}
}

func encodeMove(m standin.Move) gen.Move {
	encoded := gen.Move{
		Move: m.ID, At: m.At, By: m.By, Kind: gen.MoveKind(m.Kind), Location: m.Location, PartNumber: m.PartNumber,
		Revision: m.Revision, Condition: gen.Condition(m.Condition), Quantity: m.Quantity, Before: m.Before, After: m.After,
		Reason: m.Reason, Reference: m.Reference,
	}
	if m.Kind == standin.MoveMoved {
		encoded.To = &gen.Arrival{Location: m.To, Before: m.ToBefore, After: m.ToAfter}
	}
	if m.Hold != 0 {
		encoded.Hold = &m.Hold
	}
	return encoded
}

// maybeTime is nil for the zero time.
func maybeTime(t time.Time) *time.Time {
	if t.IsZero() {
		return nil
	}
	return &t
}
