package main

import (
	"context"
	"fmt"
	"regexp"
	"strconv"
	"strings"
	"time"

	"github.com/urfave/cli/v3"

	"standin"
	"standin/cmd/standin/tell"
	"standin/db/shop"
)

func (p *program) tokenCommand() *cli.Command {
	return &cli.Command{
		Name: "token", Usage: "who may do what over HTTP",
		Commands: []*cli.Command{
			{
				Name: "add", Usage: "make a token; it is shown this once", ArgsUsage: "NAME",
				Description: "NAME is that of the program or person that will have it; the records name it. Scopes: " +
					"read asks every question, stock changes stock and holds, fittings records what was fitted, " +
					"catalogue imports and undoes, admin does everything. Every token may read. For example:\n\n" +
					"standin token add till --scope stock,fittings --location front --expires 365d",
				Flags: []cli.Flag{
					&cli.StringFlag{Name: "scope", Usage: "what it may do, as `read,stock`", Required: false},
					&cli.StringFlag{Name: "location", Usage: "the only `LOCATION` whose stock it may change"},
					&cli.StringFlag{Name: "expires", Usage: "`WHEN` it ends: a day as 2027-01-31 (through its end, UTC), or a time from now as 90d or 12h"},
					jsonFlag(),
				},
				Action: p.tokenAdd,
			},
			{
				Name: "list", Usage: "the tokens, those in use first", Flags: []cli.Flag{jsonFlag()},
				Action: p.tokenList,
			},
			{
				Name: "revoke", Usage: "end a token, at once", ArgsUsage: "NAME", Flags: []cli.Flag{jsonFlag()},
				Action: p.tokenRevoke,
			},
		},
	}
}

func (p *program) tokenAdd(ctx context.Context, c *cli.Command) error {
	name, err := oneArgument(c, "the name of the program or person that will have it")
	if err != nil {
		return err
	}
	scopes, err := standin.ParseScopes(c.String("scope"))
	if err != nil {
		return misused(c, "--scope: %s", err)
	}
	expires, err := expiry(c.String("expires"), time.Now())
	if err != nil {
		return misused(c, "--expires: %s", err)
	}
	wanted := standin.NewToken{Name: name, Scopes: scopes, Location: typed(c, "location"), Expires: expires}
	return p.with(ctx, c, func(s *session) error {
		text, made, err := shop.NewStore(s.DB).AddToken(ctx, wanted)
		if err != nil {
			return err
		}
		p.note("standin: this is the token %s; it is not shown again", made.Name)
		encoded := encodeToken(made)
		encoded.Token = text
		return p.show(c.Bool(flagJSON), encoded, text+"\n")
	})
}

func (p *program) tokenList(ctx context.Context, c *cli.Command) error {
	if err := noArgument(c); err != nil {
		return err
	}
	return p.with(ctx, c, func(s *session) error {
		tokens, err := shop.NewStore(s.DB).ListTokens(ctx)
		if err != nil {
			return err
		}
		return p.show(c.Bool(flagJSON), map[string]any{"tokens": each(tokens, encodeToken)}, tell.Tokens(tokens))
	})
}

func (p *program) tokenRevoke(ctx context.Context, c *cli.Command) error {
	name, err := oneArgument(c, "the name of the token, as standin token list shows it")
	if err != nil {
		return err
	}
	return p.with(ctx, c, func(s *session) error {
		revoked, err := shop.NewStore(s.DB).RevokeToken(ctx, name)
		if err != nil {
			return err
		}
		return p.show(c.Bool(flagJSON), encodeToken(revoked), tell.Sentence(fmt.Sprintf("the token %s is revoked", revoked.Name)))
	})
}

var fromNow = regexp.MustCompile(`^(\d{1,5})([dh])$`)

// expiry reads when a token ends; empty text is never.
func expiry(text string, now time.Time) (time.Time, error) {
	text = strings.TrimSpace(text)
	if text == "" {
		return time.Time{}, nil
	}
	if m := fromNow.FindStringSubmatch(text); m != nil {
		n, _ := strconv.Atoi(m[1]) // digits, and few
		if m[2] == "d" {
			return now.AddDate(0, 0, n), nil
		}
		return now.Add(time.Duration(n) * time.Hour), nil
	}
	day, err := time.Parse(time.DateOnly, text)
	if err != nil {
		return time.Time{}, fmt.Errorf("%q is neither a day as 2027-01-31 nor a time from now as 90d or 12h", text)
	}
	return day.AddDate(0, 0, 1), nil
}

// The JSON of a token. Fields may be added, never renamed.
type tokenJSON struct {
	Token    string   `json:"token,omitempty"` // shown once, when it is made
	Name     string   `json:"name"`
	Scopes   []string `json:"scopes"`
	Location string   `json:"location"`
	Created  string   `json:"created"`
	Expires  string   `json:"expires"`
	Revoked  string   `json:"revoked"`
	LastUsed string   `json:"last_used"`
}

func encodeToken(t standin.Token) tokenJSON {
	when := func(at time.Time) string {
		if at.IsZero() {
			return ""
		}
		return at.Format(time.RFC3339)
	}
	return tokenJSON{
		Name: t.Name, Scopes: each(t.Scopes, func(s standin.Scope) string { return string(s) }), Location: t.Location,
		Created: when(t.Created), Expires: when(t.Expires), Revoked: when(t.Revoked), LastUsed: when(t.LastUsed),
	}
}
