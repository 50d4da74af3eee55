package web

import (
	"bytes"
	"compress/gzip"
	"crypto/sha256"
	"embed"
	"encoding/hex"
	"errors"
	"io/fs"
	"mime"
	"net/http"
	"path"
	"strings"
)

// files holds the sheets and static files. static/built is made by `npm run build`; without it the program still
// compiles, and each page says in plain words that the front end is missing.
//
//go:embed static sheets
var files embed.FS

// asset is one static file, ready to send.
type asset struct {
	body, zipped []byte // zipped is nil where it would not be smaller
	kind         string
	tag          string // content hash
}

// assets is every static file by its path below /assets/.
type assets struct{ files map[string]*asset }

func readAssets() (*assets, error) {
	a := &assets{files: map[string]*asset{}}
	err := fs.WalkDir(files, "static", func(p string, d fs.DirEntry, err error) error {
		if err != nil || d.IsDir() {
			return err
		}
		body, err := files.ReadFile(p)
		if err != nil {
			return err
		}
		name := strings.TrimPrefix(strings.TrimPrefix(p, "static/"), "built/")
		sum := sha256.Sum256(body)
		a.files[name] = &asset{body: body, zipped: zipped(body), kind: kindOf(p), tag: hex.EncodeToString(sum[:8])}
		return nil
	})
	return a, err
}

func kindOf(p string) string {
	switch path.Ext(p) {
	case ".woff2":
		return "font/woff2"
	case ".map":
		return "application/json"
	}
	return mime.TypeByExtension(path.Ext(p))
}

func zipped(body []byte) []byte {
	var b bytes.Buffer
	z, _ := gzip.NewWriterLevel(&b, gzip.BestCompression)
	if _, err := z.Write(body); err != nil || z.Close() != nil || b.Len() >= len(body)*9/10 {
		return nil
	}
	return b.Bytes()
}

// built says whether the front end was built into this program.
func (a *assets) built() bool { return a.files["app.js"] != nil && a.files["app.css"] != nil }

// url gives the address of a file, with its content hash, so that browsers keep it for good.
func (a *assets) url(name string) string {
	f := a.files[name]
	if f == nil {
		return "/assets/" + name
	}
	return "/assets/" + name + "?v=" + f.tag
}

func (s *Server) assetFile(w http.ResponseWriter, r *http.Request) error {
	name := r.PathValue("file")
	f := s.assets.files[name]
	if f == nil {
		return errors.Join(errNoSheet)
	}
	h := w.Header()
	h.Set("Content-Type", f.kind)
	h.Set("ETag", `"`+f.tag+`"`)
	h.Set("Vary", "Accept-Encoding")
	// Fonts carry their hash in their name.
	if r.URL.Query().Get("v") == f.tag || path.Ext(name) == ".woff2" {
		h.Set("Cache-Control", "public, max-age=31536000, immutable")
	} else {
		h.Set("Cache-Control", "no-cache")
	}
	if r.Header.Get("If-None-Match") == `"`+f.tag+`"` {
		w.WriteHeader(http.StatusNotModified)
		return nil
	}
	body := f.body
	if f.zipped != nil && acceptsGzip(r) {
		h.Set("Content-Encoding", "gzip")
		body = f.zipped
	}
	_, err := w.Write(body)
	return err
}

func acceptsGzip(r *http.Request) bool {
	for _, part := range strings.Split(r.Header.Get("Accept-Encoding"), ",") {
		name, q, _ := strings.Cut(strings.TrimSpace(part), ";")
		if name == "gzip" && strings.TrimSpace(q) != "q=0" {
			return true
		}
	}
	return false
}
