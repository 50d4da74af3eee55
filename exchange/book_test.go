package exchange

import (
	"bytes"
	"os"
	"path/filepath"
	"testing"

	"github.com/google/go-cmp/cmp"

	"tackline/book/booktest"
)

func TestWorkbookRoundTrip(t *testing.T) {
	b := booktest.Small()
	var buf bytes.Buffer
	if err := WriteWorkbook(&buf, b); err != nil {
		t.Fatal(err)
	}
	path := filepath.Join(t.TempDir(), "book.xlsx")
	if err := os.WriteFile(path, buf.Bytes(), 0o644); err != nil {
		t.Fatal(err)
	}
	got, origin, err := ReadBook(path)
	if err != nil {
		t.Fatal(err)
	}
	if d := cmp.Diff(b, got); d != "" {
		t.Fatal(d)
	}
	if origin.Row("stations", 1) != 3 {
		t.Errorf("the second station is in row %d, want 3", origin.Row("stations", 1))
	}
}

func TestFolderRoundTrip(t *testing.T) {
	b := booktest.Small()
	dir := t.TempDir()
	if err := WriteFolder(dir, b); err != nil {
		t.Fatal(err)
	}
	got, _, err := ReadBook(dir)
	if err != nil {
		t.Fatal(err)
	}
	if d := cmp.Diff(b, got); d != "" {
		t.Fatal(d)
	}
}

func BenchmarkReadWorkbook(b *testing.B) {
	var buf bytes.Buffer
	if err := WriteWorkbook(&buf, booktest.Large(2000, 30000)); err != nil {
		b.Fatal(err)
	}
	b.SetBytes(int64(buf.Len()))
	for b.Loop() {
		if _, _, err := CheckWorkbook(bytes.NewReader(buf.Bytes())); err != nil {
			b.Fatal(err)
		}
	}
}

func BenchmarkWriteWorkbook(b *testing.B) {
	large := booktest.Large(2000, 30000)
	for b.Loop() {
		if err := WriteWorkbook(&bytes.Buffer{}, large); err != nil {
			b.Fatal(err)
		}
	}
}
