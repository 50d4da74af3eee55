package exchange

import (
	"bytes"
	"io"
	"os"
	"path/filepath"
	"sort"
	"strings"

	"tackline/book"
	"tackline/fault"
)

// ReadBook reads a workbook file, or a folder of CSV files named by their tables (plants.csv and so on), and checks it. The
// error is a fault.List with every fault found, of cells and of the book as a whole. The Origin says from which sheet row
// each row came.
func ReadBook(path string) (*book.Book, book.Origin, error) {
	info, err := os.Stat(path)
	if err != nil {
		return nil, nil, fault.New(fault.NotFound, "%s cannot be opened", path)
	}
	a := newAssembly()
	if info.IsDir() {
		err = a.readFolder(path)
	} else {
		err = a.readFile(path)
	}
	if err != nil {
		return nil, nil, err
	}
	return a.check()
}

// ReadWorkbook reads a workbook. The error is a fault.List with every fault of sheets and cells; the book is not checked as
// a whole (see CheckWorkbook).
func ReadWorkbook(r io.Reader) (*book.Book, book.Origin, error) {
	a := newAssembly()
	if err := a.readStream(r); err != nil {
		return nil, nil, err
	}
	return a.finish()
}

// CheckWorkbook reads a workbook and checks it, as ReadBook does with a file.
func CheckWorkbook(r io.Reader) (*book.Book, book.Origin, error) {
	a := newAssembly()
	if err := a.readStream(r); err != nil {
		return nil, nil, err
	}
	return a.check()
}

func (a *assembly) readFile(path string) error {
	switch strings.ToLower(filepath.Ext(path)) {
	case ".xlsx", ".xlsm":
	case ".csv":
		return fault.New(fault.Invalid, "%s is one CSV file; name the folder that holds all of them", filepath.Base(path))
	default:
		return fault.New(fault.Invalid, "%s is neither an XLSX workbook nor a folder of CSV files", filepath.Base(path))
	}
	f, err := os.Open(path)
	if err != nil {
		return fault.New(fault.NotFound, "%s cannot be opened", path)
	}
	defer f.Close()
	return a.readStream(f)
}

func (a *assembly) readStream(r io.Reader) error {
	packed, err := io.ReadAll(io.LimitReader(r, mostPacked+1))
	if err != nil {
		return fault.New(fault.Invalid, "the workbook cannot be read: %v", err)
	}
	if len(packed) > mostPacked {
		return fault.New(fault.Invalid, "%v", errTooLarge)
	}
	w, err := openWorkbook(bytes.NewReader(packed), int64(len(packed)))
	if err != nil {
		return fault.New(fault.Invalid, "%v", err)
	}
	for _, s := range w.sheets {
		sh := a.begin(s.name)
		if sh.ignored {
			continue
		}
		if err := w.rows(s, sh.add); err != nil {
			return &fault.Fault{Kind: fault.Invalid, Table: s.name, Text: err.Error()}
		}
		sh.end()
	}
	return nil
}

func (a *assembly) readFolder(dir string) error {
	entries, err := os.ReadDir(dir)
	if err != nil {
		return fault.New(fault.NotFound, "%s cannot be opened", dir)
	}
	sort.Slice(entries, func(i, j int) bool { return entries[i].Name() < entries[j].Name() })
	found := false
	for _, e := range entries {
		ext := filepath.Ext(e.Name())
		if e.IsDir() || !strings.EqualFold(ext, ".csv") {
			continue
		}
		found = true
		name := strings.TrimSuffix(e.Name(), ext)
		f, err := os.Open(filepath.Join(dir, e.Name()))
		if err != nil {
			return fault.New(fault.NotFound, "%s cannot be opened", e.Name())
		}
		a.readCSV(name, f)
		f.Close()
	}
	if !found {
		return fault.New(fault.Invalid, "%s holds no CSV files", dir)
	}
	return nil
}
