package exchange

import (
	"encoding/csv"
	"fmt"
	"io"
	"os"
	"path/filepath"

	"tackline/book"
)

// WriteFolder writes a book as a folder of CSV files, one for each table: UTF-8, commas, a header. The folder is made if it
// is not there; files of the same names are replaced.
func WriteFolder(dir string, b *book.Book) error {
	if err := os.MkdirAll(dir, 0o755); err != nil {
		return err
	}
	tables := book.Tables()
	for i := range tables {
		t := &tables[i]
		err := writeFile(filepath.Join(dir, t.Name+".csv"), func(w *csv.Writer) error {
			header := make([]string, len(t.Columns))
			for j, c := range t.Columns {
				header[j] = c.Name
			}
			if err := w.Write(header); err != nil {
				return err
			}
			for i := 0; i < t.Len(b); i++ {
				if err := w.Write(t.Cells(b, i)); err != nil {
					return err
				}
			}
			return nil
		})
		if err != nil {
			return err
		}
	}
	return nil
}

// writeFile writes one CSV file, beside its place first, so that a file is never half written.
func writeFile(path string, fill func(*csv.Writer) error) error {
	f, err := os.CreateTemp(filepath.Dir(path), ".tackline-*")
	if err != nil {
		return err
	}
	defer os.Remove(f.Name())
	w := csv.NewWriter(io.Writer(f))
	if err = fill(w); err == nil {
		w.Flush()
		err = w.Error()
	}
	if closeErr := f.Close(); err == nil {
		err = closeErr
	}
	if err == nil {
		err = os.Chmod(f.Name(), 0o644)
	}
	if err == nil {
		err = os.Rename(f.Name(), path)
	}
	if err != nil {
		return fmt.Errorf("%s: %w", filepath.Base(path), err)
	}
	return nil
}
