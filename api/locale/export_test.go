package locale

// ReadEntries is for the tests of what is complete.
var ReadEntries = readEntries

// CheckForm reads a form.
func CheckForm(english, said string) error {
	_, err := newForm(english, said)
	return err
}
