package importer

import (
	"errors"
	"io"
	"os"
	"path/filepath"
)

// ReplaceFile writes a file whole or not at all. The error is the system's, or
// what write returned.
func ReplaceFile(path string, write func(io.Writer) error) (err error) {
	file, err := os.CreateTemp(filepath.Dir(path), ".standin-*")
	if err != nil {
		return err
	}
	defer func() {
		if err != nil {
			os.Remove(file.Name())
		}
	}()
	err = write(file)
	if err == nil {
		err = file.Chmod(0o644) // as any file that a person makes
	}
	if err = errors.Join(err, file.Close()); err != nil {
		return err
	}
	return os.Rename(file.Name(), path)
}
