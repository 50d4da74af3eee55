package web

import (
	"bytes"
	"compress/gzip"
	"html/template"
	"io/fs"
	"net/http"
	"path"
	"strings"
	"sync"
)

// parseSheets parses every sheet with the layout and the shared parts. A sheet is a file of sheets/ that defines "main".
func parseSheets(a *assets) (map[string]*template.Template, error) {
	shared := template.New("").Funcs(template.FuncMap{"asset": a.url, "built": a.built, "hatch": hatchURL})
	shared, err := shared.ParseFS(files, "sheets/shared/*.html")
	if err != nil {
		return nil, err
	}
	names, err := fs.Glob(files, "sheets/*.html")
	if err != nil {
		return nil, err
	}
	sheets := map[string]*template.Template{}
	for _, name := range names {
		t, err := shared.Clone()
		if err != nil {
			return nil, err
		}
		if t, err = t.ParseFS(files, name); err != nil {
			return nil, err
		}
		sheets[strings.TrimSuffix(path.Base(name), ".html")] = t
	}
	return sheets, nil
}

var buffers = sync.Pool{New: func() any { return new(bytes.Buffer) }}
var zippers = sync.Pool{New: func() any { z, _ := gzip.NewWriterLevel(nil, gzip.BestSpeed); return z }}

// render writes a sheet. It is rendered whole before anything is sent, so that a failure becomes a fault page and never
// half a sheet.
func (s *Server) render(w http.ResponseWriter, r *http.Request, code int, sheet string, page any) error {
	b := buffers.Get().(*bytes.Buffer)
	defer buffers.Put(b)
	b.Reset()
	if err := s.sheets[sheet].ExecuteTemplate(b, "layout", page); err != nil {
		return err
	}
	h := w.Header()
	h.Set("Content-Type", "text/html; charset=utf-8")
	h.Set("Cache-Control", "private, no-store")
	h.Add("Vary", "Accept-Encoding")
	if !acceptsGzip(r) || b.Len() < 1400 { // below one packet it gains nothing
		w.WriteHeader(code)
		_, err := w.Write(b.Bytes())
		return err
	}
	h.Set("Content-Encoding", "gzip")
	w.WriteHeader(code)
	z := zippers.Get().(*gzip.Writer)
	defer zippers.Put(z)
	z.Reset(w)
	if _, err := z.Write(b.Bytes()); err != nil {
		return nil // the reader has gone; the answer is under way already
	}
	_ = z.Close()
	return nil
}

// renderPart writes one named part of a sheet, for a page that asks for it again and again.
func (s *Server) renderPart(w http.ResponseWriter, sheet, part string, data any) error {
	var b bytes.Buffer
	if err := s.sheets[sheet].ExecuteTemplate(&b, part, data); err != nil {
		return err
	}
	w.Header().Set("Content-Type", "text/html; charset=utf-8")
	w.Header().Set("Cache-Control", "private, no-store")
	_, err := w.Write(b.Bytes())
	return err
}
