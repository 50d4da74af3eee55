package cli

import (
	"encoding/csv"
	"os"
	"path/filepath"
	"strings"
	"syscall"
	"testing"
	"time"

	"github.com/rogpeppe/go-internal/testscript"
)

func TestMain(m *testing.M) {
	testscript.Main(m, map[string]func(){
		"tackline": func() { os.Exit(Main(os.Args[1:], os.Stdin, os.Stdout, os.Stderr)) },
	})
}

// TestScripts runs the scripts in testdata/script: they are also the best documentation of the commands.
func TestScripts(t *testing.T) {
	testscript.Run(t, testscript.Params{
		Dir: "testdata/script",
		Setup: func(env *testscript.Env) error {
			docs, err := filepath.Abs("../docs")
			env.Setenv("DOCS", docs)
			env.Setenv("PYTHONDONTWRITEBYTECODE", "1")
			return err
		},
		Cmds: map[string]func(*testscript.TestScript, bool, []string){
			"hourearlier": hourEarlier,
			"exitcode":    exitCode,
			"waitfor":     waitFor,
			"terminate":   terminate,
			"record":      record,
			"tamper":      tamper,
		},
	})
}

// terminate tells what runs in the background to stop, as the system does: terminate
func terminate(ts *testscript.TestScript, neg bool, args []string) {
	for _, c := range ts.BackgroundCmds() {
		ts.Check(c.Process.Signal(syscall.SIGTERM))
	}
}

// waitFor waits until a file is there: waitfor FILE
func waitFor(ts *testscript.TestScript, neg bool, args []string) {
	for range 2000 {
		if _, err := os.Stat(ts.MkAbs(args[0])); err == nil {
			return
		}
		time.Sleep(10 * time.Millisecond)
	}
	ts.Fatalf("%s does not come", args[0])
}

// exitCode runs a command and wants its exit code: exitcode 2 tackline nonsense
func exitCode(ts *testscript.TestScript, neg bool, args []string) {
	if neg || len(args) < 2 {
		ts.Fatalf("usage: exitcode CODE COMMAND...")
	}
	err := ts.Exec(args[1], args[2:]...)
	code := "0"
	if err != nil {
		code = strings.TrimPrefix(err.Error(), "exit status ")
	}
	if code != args[0] {
		ts.Fatalf("exit code %s, want %s", code, args[0])
	}
}

// hourEarlier moves one operation of a plan file an hour earlier: hourearlier plan.csv JOB OP
func hourEarlier(ts *testscript.TestScript, neg bool, args []string) {
	f := ts.MkAbs(args[0])
	rows, err := csv.NewReader(strings.NewReader(ts.ReadFile(args[0]))).ReadAll()
	ts.Check(err)
	at := map[string]int{}
	for i, name := range rows[0] {
		at[name] = i
	}
	moved := 0
	for _, row := range rows[1:] {
		if row[at["job"]] != args[1] || row[at["op"]] != args[2] {
			continue
		}
		moved++
		for _, c := range []string{"setup_start", "start", "run", "unload", "end"} {
			was, err := time.Parse(time.RFC3339, row[at[c]])
			ts.Check(err)
			row[at[c]] = was.Add(-time.Hour).Format(time.RFC3339)
		}
	}
	if moved != 1 {
		ts.Fatalf("%d rows of job %s, operation %s", moved, args[1], args[2])
	}
	var out strings.Builder
	ts.Check(csv.NewWriter(&out).WriteAll(rows))
	ts.Check(os.WriteFile(f, []byte(out.String()), 0o644))
}
