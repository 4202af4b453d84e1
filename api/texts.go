package api

import (
	"encoding/json"
	"fmt"
	"maps"
	"slices"
	"strings"
)

// checkTexts refuses a body with text that no label shows, which could not be
// stored. A line may be broken in what people write. The contract has looked at
// the rest.
func checkTexts(body any) error {
	text, err := json.Marshal(body)
	if err != nil {
		return err
	}
	var value any
	if err := json.Unmarshal(text, &value); err != nil {
		return err
	}
	return checkText(value, nil)
}

func checkText(value any, place []string) error {
	switch v := value.(type) {
	case string:
		if !printable(strings.NewReplacer("\n", " ", "\r", " ", "\t", " ").Replace(v)) {
			return notPrintable(pointer(place))
		}
	case []any:
		for i, in := range v {
			if err := checkText(in, append(place, fmt.Sprint(i))); err != nil {
				return err
			}
		}
	case map[string]any:
		for _, name := range slices.Sorted(maps.Keys(v)) {
			if err := checkText(v[name], append(place, name)); err != nil {
				return err
			}
		}
	}
	return nil
}
