package tackline

import (
	"os/exec"
	"strings"
	"testing"
)

// level says how high a package stands; imports point only to lower levels, or within a level where beside lists it.
// The same table stands in docs/architecture.md.
var level = map[string]int{
	"plant": 0, "calendar": 0, "fault": 0, "estimate": 0, "formula": 0,
	"order": 1, "product": 1, "stock": 1, "book": 1, "book/booktest": 1,
	"needs": 2, "assume": 2, "schedule": 2, "schedule/search": 2, "schedule/moves": 2, "schedule/whatif": 2, "schedule/dice": 2, "schedule/precedence": 2, "schedule/population": 2, "schedule/disjunct": 2, "schedule/staffed": 2, "schedule/research": 2, "schedule/scheduletest": 2, "setout": 2, "dispatch": 2, "floor": 2,
	"store": 3, "store/storetest": 3,

	"flow":     4,
	"exchange": 5, "paper": 5, "demo": 5, "web": 5, "cli": 5,
	"cmd/tackline": 6, "cmd/smallplants": 6,
}

// beside lists the imports allowed within a level.
var beside = map[string][]string{
	"calendar":              {"plant"},
	"formula":               {"plant", "estimate", "fault"},
	"book":                  {"order", "product", "stock"},
	"book/booktest":         {"book", "order", "product", "stock"},
	"schedule/population":   {"schedule/dice"},
	"schedule/disjunct":     {"schedule/dice", "schedule/precedence", "schedule/population"},
	"schedule/staffed":      {"schedule/dice", "schedule/precedence", "schedule/population"},
	"schedule/research":     {"schedule", "schedule/disjunct", "schedule/staffed"},
	"schedule/search":       {"schedule"},
	"schedule/moves":        {"schedule"},
	"schedule/whatif":       {"schedule", "schedule/moves", "schedule/search"},
	"schedule/scheduletest": {"schedule"},
	"setout":                {"needs", "schedule"},
	"dispatch":              {"needs", "schedule", "setout", "floor"},
	"store/storetest":       {"store"},
	"web":                   {"exchange", "paper"},
	"demo":                  {"exchange"},
	"cli":                   {"web", "demo", "exchange"},
}

// pure packages compute only: no SQL, HTTP, files, clock or global randomness.
var banned = []string{"database/sql", "net/http", "os", "log", "log/slog", "math/rand", "math/rand/v2"}

func TestImportsPointDown(t *testing.T) {
	out, err := exec.Command("go", "list", "-f", "{{.ImportPath}}|{{join .Imports \" \"}}", "./...").CombinedOutput()
	if err != nil {
		t.Fatalf("go list: %v\n%s", err, out)
	}
	for _, line := range strings.Split(strings.TrimSpace(string(out)), "\n") {
		path, imports, _ := strings.Cut(line, "|")
		from := strings.TrimPrefix(strings.TrimPrefix(path, "tackline"), "/")
		if from == "" {
			continue
		}
		at, known := level[from]
		if !known {
			t.Errorf("package %s is not in the table of levels", from)
			continue
		}
		for _, imp := range strings.Fields(imports) {
			checkImport(t, from, at, imp)
		}
	}
}

func checkImport(t *testing.T, from string, at int, imp string) {
	t.Helper()
	to, ours := strings.CutPrefix(imp, "tackline/")
	if ours {
		if level[to] < at || contains(beside[from], to) {
			return
		}
		t.Errorf("%s (level %d) imports %s (level %d)", from, at, to, level[to])
		return
	}
	if at <= 2 && contains(banned, imp) {
		t.Errorf("%s is a computing package and imports %s", from, imp)
	}
}

func contains(list []string, s string) bool {
	for _, x := range list {
		if x == s {
			return true
		}
	}
	return false
}
