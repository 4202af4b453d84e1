package api

import (
	"context"
	"crypto/sha256"
	"encoding/json"
	"strings"

	"github.com/labstack/echo/v4"

	"standin"
)

// withShop refuses calls about stock, holds and fittings where there is no shop.
func (h *handlers) withShop(next echo.HandlerFunc) echo.HandlerFunc {
	return func(c echo.Context) error {
		if h.shop == nil {
			return &standin.Error{Code: standin.CodeNotFound, Message: "This service keeps no stock, holds or fittings."}
		}
		return next(c)
	}
}

// once is the promise that a creating call with an idempotency key happens once.
// What is asked is told by the operation and what makes it the same: the values
// in its path and its body, however that was written down.
func once(ctx context.Context, header, operation string, asked ...any) (standin.Once, error) {
	key, ok := idempotencyKey(header)
	if !ok {
		return standin.Once{}, badField("Idempotency-Key", "Idempotency-Key is a text of 1 to 200 plain characters, in quotes or without spaces")
	}
	text, err := json.Marshal(append([]any{operation}, asked...))
	if err != nil {
		return standin.Once{}, err
	}
	return standin.Once{Token: bearer(ctx).ID, Key: key, Request: sha256.Sum256(text)}, nil
}

// idempotencyKey reads a key as the draft writes it, a string of structured
// fields (RFC 8941, 3.3.3), or as most clients do, without quotes.
func idempotencyKey(header string) (key string, ok bool) {
	header = strings.TrimSpace(header)
	quoted, ok := strings.CutPrefix(header, `"`)
	if !ok {
		return header, header != "" && !strings.ContainsFunc(header, func(r rune) bool { return r <= ' ' || r > '~' || r == '"' || r == '\\' })
	}
	var b strings.Builder
	for i := 0; i < len(quoted); i++ {
		switch c := quoted[i]; {
		case c == '"':
			return b.String(), i == len(quoted)-1 && b.Len() > 0
		case c == '\\' && i+1 < len(quoted) && (quoted[i+1] == '"' || quoted[i+1] == '\\'):
			i++
			b.WriteByte(quoted[i])
		case c < ' ' || c > '~' || c == '\\':
			return "", false
		default:
			b.WriteByte(c)
		}
	}
	return "", false // no quote at the end
}
