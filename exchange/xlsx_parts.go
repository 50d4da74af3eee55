package exchange

import (
	"archive/zip"
	"encoding/xml"
	"errors"
	"fmt"
	"io"
	"path"
	"strconv"
	"strings"
)

// Limits on a workbook, so that a small file cannot unpack into something that fills the memory.
const (
	mostPacked   = 64 << 20  // bytes of the file
	mostUnpacked = 256 << 20 // bytes of all parts unpacked
	mostRows     = 1_048_576 // as ECMA-376 workbooks have at most
	mostColumns  = 300       // beyond, cells are not read
	mostTexts    = 4_000_000 // shared texts
	mostSheets   = 200
)

var errTooLarge = errors.New("the workbook is too large")

// workbook is an opened XLSX file: ECMA-376 part 1, SpreadsheetML.
type workbook struct {
	parts    map[string]*zip.File
	left     int64 // bytes that may still be unpacked
	sheets   []namedSheet
	texts    []string // shared strings
	styles   []content
	date1904 bool
}

type namedSheet struct{ name, part string }

func openWorkbook(r io.ReaderAt, size int64) (*workbook, error) {
	z, err := zip.NewReader(r, size)
	if err != nil {
		return nil, errors.New("this is not an XLSX workbook")
	}
	w := &workbook{parts: map[string]*zip.File{}, left: mostUnpacked}
	for _, f := range z.File {
		w.parts[strings.ToLower(strings.TrimPrefix(strings.ReplaceAll(f.Name, "\\", "/"), "/"))] = f
	}
	main := "xl/workbook.xml"
	targets, err := w.relations("_rels/.rels")
	if err != nil {
		return nil, err
	}
	for _, t := range targets {
		if strings.HasSuffix(t.kind, "/officeDocument") {
			main = resolve("", t.target)
		}
	}
	if err := w.readMain(main); err != nil {
		return nil, err
	}
	return w, nil
}

// relation is one entry of a relationships part.
type relation struct{ id, kind, target string }

// relations reads a relationships part; a missing one is empty.
func (w *workbook) relations(part string) ([]relation, error) {
	var out []relation
	err := w.elements(part, func(_ *xml.Decoder, e xml.StartElement) error {
		if e.Name.Local == "Relationship" {
			out = append(out, relation{attr(e, "Id"), attr(e, "Type"), attr(e, "Target")})
		}
		return nil
	})
	return out, err
}

// resolve gives the name of a part that a relation of a part in dir names.
func resolve(dir, target string) string {
	if strings.HasPrefix(target, "/") {
		return strings.TrimPrefix(path.Clean(target), "/")
	}
	return path.Join(dir, target)
}

// readMain reads the list of sheets, the shared texts and the styles.
func (w *workbook) readMain(main string) error {
	dir := path.Dir(main)
	targets, err := w.relations(path.Join(dir, "_rels", path.Base(main)+".rels"))
	if err != nil {
		return err
	}
	byID := map[string]string{}
	for _, t := range targets {
		byID[t.id] = resolve(dir, t.target)
		switch {
		case strings.HasSuffix(t.kind, "/sharedStrings"):
			err = w.readTexts(resolve(dir, t.target))
		case strings.HasSuffix(t.kind, "/styles"):
			err = w.readStyles(resolve(dir, t.target))
		}
		if err != nil {
			return err
		}
	}
	if w.parts[strings.ToLower(main)] == nil {
		return errors.New("this is not an XLSX workbook")
	}
	return w.elements(main, func(_ *xml.Decoder, e xml.StartElement) error {
		switch e.Name.Local {
		case "workbookPr":
			w.date1904 = isTrue(attr(e, "date1904"))
		case "sheet":
			part := byID[attr(e, "id")]
			if w.parts[strings.ToLower(part)] == nil {
				return fmt.Errorf("the workbook is damaged: the sheet %s has no content", attr(e, "name"))
			}
			if len(w.sheets) >= mostSheets {
				return errTooLarge
			}
			if !strings.Contains(part, "chartsheets/") {
				w.sheets = append(w.sheets, namedSheet{attr(e, "name"), part})
			}
		}
		return nil
	})
}

// elements calls do for every element of a part, in order. A missing part has none.
func (w *workbook) elements(part string, do func(*xml.Decoder, xml.StartElement) error) error {
	f := w.parts[strings.ToLower(part)]
	if f == nil {
		return nil
	}
	r, err := f.Open()
	if err != nil {
		return fmt.Errorf("the workbook is damaged: %s", part)
	}
	defer r.Close()
	d := xml.NewDecoder(&limited{r, w})
	for {
		tok, err := d.RawToken()
		if err == io.EOF {
			return nil
		}
		if errors.Is(err, errTooLarge) {
			return errTooLarge
		}
		if err != nil {
			return fmt.Errorf("the workbook is damaged: %s", part)
		}
		if e, ok := tok.(xml.StartElement); ok {
			if err := do(d, e); err != nil {
				return err
			}
		}
	}
}

// limited counts what is unpacked against the limit of the workbook.
type limited struct {
	r io.Reader
	w *workbook
}

func (l *limited) Read(p []byte) (int, error) {
	n, err := l.r.Read(p)
	if l.w.left -= int64(n); l.w.left < 0 {
		return 0, errTooLarge
	}
	return n, err
}

func attr(e xml.StartElement, name string) string {
	for _, a := range e.Attr {
		if a.Name.Local == name {
			return a.Value
		}
	}
	return ""
}

func isTrue(s string) bool { return s == "1" || s == "true" || s == "on" }

// readTexts reads the shared strings: the runs of each joined, without phonetic guides.
func (w *workbook) readTexts(part string) error {
	return w.elements(part, func(d *xml.Decoder, e xml.StartElement) error {
		if e.Name.Local != "si" {
			return nil
		}
		if len(w.texts) >= mostTexts {
			return errTooLarge
		}
		s, err := richText(d, "si")
		w.texts = append(w.texts, s)
		return err
	})
}

// richText joins the texts of the runs up to the end of an element.
func richText(d *xml.Decoder, until string) (string, error) {
	var b strings.Builder
	inside, phonetic := false, false
	for {
		tok, err := d.RawToken()
		if errors.Is(err, errTooLarge) {
			return "", err
		}
		if err != nil {
			return "", errors.New("the workbook is damaged: its texts")
		}
		switch t := tok.(type) {
		case xml.StartElement:
			inside = inside || t.Name.Local == "t"
			phonetic = phonetic || t.Name.Local == "rPh"
		case xml.EndElement:
			switch t.Name.Local {
			case "t":
				inside = false
			case "rPh":
				phonetic = false
			case until:
				return unescape(b.String()), nil
			}
		case xml.CharData:
			if inside && !phonetic {
				b.Write(t)
			}
		}
	}
}

// unescape reads _x000D_ and its like, which stand for characters in texts (ECMA-376 part 1, 22.4.2.4 ST_Xstring).
func unescape(s string) string {
	if !strings.Contains(s, "_x") {
		return s
	}
	var b strings.Builder
	for i := 0; i < len(s); {
		if i+7 <= len(s) && s[i] == '_' && s[i+1] == 'x' && s[i+6] == '_' {
			if n, err := strconv.ParseUint(s[i+2:i+6], 16, 16); err == nil {
				b.WriteRune(rune(n))
				i += 7
				continue
			}
		}
		b.WriteByte(s[i])
		i++
	}
	return b.String()
}
