package standin

import (
	"encoding/hex"
	"fmt"
	"strings"
	"unicode/utf8"
)

// Text is the key as one word that programs keep and addresses hold: brand, model
// and, where there is one, variant with a tilde between them. Letters, digits, "-"
// and "_" stand for themselves, every other byte is a dot and two hexadecimal
// digits: "Wexcombe~DW.20410". It is made of the key alone, so it is the same in
// every catalogue, and after a model was removed and imported again.
func (k ModelKey) Text() string {
	var b strings.Builder
	parts := []string{k.Brand, k.Model, k.Variant}
	if k.Variant == "" {
		parts = parts[:2]
	}
	for i, part := range parts {
		if i > 0 {
			b.WriteByte('~')
		}
		for _, c := range []byte(part) {
			if plainByte(c) {
				b.WriteByte(c)
			} else {
				fmt.Fprintf(&b, ".%02X", c)
			}
		}
	}
	return b.String()
}

func plainByte(c byte) bool {
	return c >= 'a' && c <= 'z' || c >= 'A' && c <= 'Z' || c >= '0' && c <= '9' || c == '-' || c == '_'
}

// ParseModelKey is the key that a Text is of. Only what Text writes is read, so
// that one model has one text.
func ParseModelKey(text string) (ModelKey, error) {
	var parts [3]string
	words := strings.Split(text, "~")
	if len(words) > len(parts) {
		words = nil
	}
	for i, word := range words {
		plain, ok := unescaped(word)
		if !ok {
			words = nil
			break
		}
		parts[i] = plain
	}
	k := ModelKey{Brand: parts[0], Model: parts[1], Variant: parts[2]}
	if len(words) == 0 || k.Text() != text || k.Brand == "" || k.Model == "" {
		return ModelKey{}, fmt.Errorf("%q is not the key of a model; it is written as Wexcombe~DW.20410", text)
	}
	return k, nil
}

func unescaped(word string) (string, bool) {
	var b []byte
	for i := 0; i < len(word); i++ {
		if word[i] != '.' {
			b = append(b, word[i])
			continue
		}
		if i+3 > len(word) {
			return "", false
		}
		c, err := hex.DecodeString(word[i+1 : i+3])
		if err != nil {
			return "", false
		}
		b = append(b, c...)
		i += 2
	}
	return string(b), utf8.Valid(b)
}
