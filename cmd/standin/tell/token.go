package tell

import (
	"strings"
	"time"

	"standin"
)

// Tokens lists tokens, with what each may do.
func Tokens(tokens []standin.Token) string {
	p := &page{}
	if len(tokens) == 0 {
		p.line(0, "There are no tokens; standin token add makes one.")
	}
	for _, t := range tokens {
		p.ends(0, t.Name, tokenState(t))
		var scopes []string
		for _, s := range t.Scopes {
			scopes = append(scopes, string(s))
		}
		p.item(bodyIndent, "scopes", strings.Join(scopes, ", "))
		if t.Location != "" {
			p.item(bodyIndent, "stock", "at "+t.Location+" alone")
		}
		p.item(bodyIndent, "made", minute(t.Created))
		if !t.Expires.IsZero() {
			p.item(bodyIndent, "expires", minute(t.Expires))
		}
		used := "never"
		if !t.LastUsed.IsZero() {
			used = minute(t.LastUsed)
		}
		p.item(bodyIndent, "used", used)
	}
	return p.String()
}

func tokenState(t standin.Token) string {
	if !t.Revoked.IsZero() {
		return "revoked " + minute(t.Revoked)
	}
	return ""
}

func minute(at time.Time) string { return at.UTC().Format("2006-01-02 15:04") + " UTC" }
