package locale

import "encoding/json"

// Script is what scripts say in the language, as a script that comes before them; empty
// in English.
func (l Language) Script() []byte {
	if l.of == nil {
		return nil
	}
	entries, err := readFile(l.String() + "/script.yaml")
	if err != nil {
		panic(err) // the files are in the program, and a test reads them
	}
	said, err := json.Marshal(entries)
	if err != nil {
		panic(err) // texts can be encoded
	}
	return append(append([]byte("self.says = "), said...), ";\n"...)
}
