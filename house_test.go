package tackline

import (
	"go/ast"
	"go/parser"
	"go/token"
	"io/fs"
	"os"
	"path/filepath"
	"strings"
	"testing"
)

const (
	longestFile     = 500 // lines
	longestFunction = 70  // lines
)

// TestHouseRules holds what makes the tree easy to read: short files, functions that fit a screen, a comment on every
// package and on what it exports.
func TestHouseRules(t *testing.T) {
	documented := map[string]bool{}
	err := filepath.WalkDir(".", func(path string, d fs.DirEntry, err error) error {
		if err != nil {
			return err
		}
		if d.IsDir() && (strings.HasPrefix(d.Name(), ".") && path != "." || d.Name() == "node_modules" || d.Name() == "testdata") {
			return filepath.SkipDir
		}
		if strings.HasSuffix(path, ".go") {
			checkFile(t, path, documented)
		}
		return nil
	})
	if err != nil {
		t.Fatal(err)
	}
	for dir, has := range documented {
		if !has {
			t.Errorf("package in %s has no package comment", dir)
		}
	}
}

func checkFile(t *testing.T, path string, documented map[string]bool) {
	t.Helper()
	source, err := os.ReadFile(path)
	if err != nil {
		t.Fatal(err)
	}
	if n := strings.Count(string(source), "\n"); n > longestFile {
		t.Errorf("%s has %d lines, more than %d", path, n, longestFile)
	}
	set := token.NewFileSet()
	file, err := parser.ParseFile(set, path, source, parser.ParseComments)
	if err != nil {
		t.Fatal(err)
	}
	test := strings.HasSuffix(path, "_test.go")
	if !test {
		documented[filepath.Dir(path)] = documented[filepath.Dir(path)] || file.Doc != nil
	}
	for _, decl := range file.Decls {
		f, ok := decl.(*ast.FuncDecl)
		if !ok {
			continue
		}
		if n := set.Position(f.End()).Line - set.Position(f.Pos()).Line + 1; n > longestFunction {
			t.Errorf("%s: %s has %d lines, more than %d", path, f.Name.Name, n, longestFunction)
		}
		if !test && f.Name.IsExported() && f.Doc == nil && f.Recv == nil {
			t.Errorf("%s: exported %s has no comment", path, f.Name.Name)
		}
	}
}
