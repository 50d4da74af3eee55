package cli

import (
	"context"
	"database/sql"
	"path/filepath"

	"github.com/rogpeppe/go-internal/testscript"

	"tackline/floor"
	"tackline/flow"
	"tackline/plant"
	_ "tackline/store" // the database
)

// record records that people sign on at a station, one after the other: record DIR STATION PERSON...
func record(ts *testscript.TestScript, neg bool, args []string) {
	a := &app{out: ts.Stdout(), err: ts.Stderr()}
	ctx := context.Background()
	shop, done, err := a.openShop(ctx, ts.MkAbs(args[0]), shopFile, flow.Options{})
	ts.Check(err)
	defer done()
	b, _, err := shop.Book(ctx)
	ts.Check(err)
	for i, person := range args[2:] {
		e := floor.Event{ID: floor.NewID(int64(i+1), [10]byte{9: byte(i)}), Kind: floor.SignOn, Plant: b.Plants[0].ID, At: plant.Time(1_795_600_000 + i), Device: "tablet-1",
			Person: plant.PersonID(person), Station: plant.StationID(args[1])}
		got, err := shop.PostEvents(ctx, commandLine, []floor.Event{e})
		ts.Check(err)
		ts.Check(got[0].Refused)
	}
}

// tamper changes a database behind the back of the program: tamper FILE STATEMENT
func tamper(ts *testscript.TestScript, neg bool, args []string) {
	db, err := sql.Open("sqlite", filepath.ToSlash(ts.MkAbs(args[0])))
	ts.Check(err)
	defer db.Close()
	r, err := db.Exec(args[1])
	ts.Check(err)
	if n, err := r.RowsAffected(); err != nil || n == 0 {
		ts.Fatalf("%s changed %d rows, %v", args[1], n, err)
	}
}
