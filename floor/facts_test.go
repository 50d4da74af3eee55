package floor

import (
	"testing"
	"time"

	"github.com/google/go-cmp/cmp"

	"tackline/plant"
	"tackline/stock"
)

// TestFacts: what is done, runs, is paused or held becomes a row; what has not begun and is not held does not. Times are those of the
// wall clock of the station.
func TestFacts(t *testing.T) {
	dublin, err := time.LoadLocation("Europe/Dublin")
	if err != nil {
		t.Fatal(err)
	}
	six := plant.At(time.Date(2026, 7, 1, 5, 0, 30, 0, time.UTC)) // 06:00:30 in Dublin
	s := NewState()
	hold := []Stop{{Event: "x", Reason: "undercut"}}
	for seq, o := range map[int]Op{
		10: {Phase: Done, Station: "robot", Began: six, Ended: six.Add(7200), Holds: hold},
		20: {Phase: Running, Station: "robot", Began: six},
		30: {Phase: Paused, Station: "robot", Began: six},
		40: {Phase: Paused, Station: "robot", Began: six, Holds: hold},
		50: {Holds: hold},
		60: {Kit: Delivered},
	} {
		s.SetOp(OpKey{"j", seq}, o)
	}
	s.Stations["robot"] = Station{Down: &Stop{At: six, Reason: "gearbox"}}
	s.Stations["bench"] = Station{People: []Attendance{{"p-1", six}}}
	got := s.Facts(func(plant.StationID) *time.Location { return dublin }, six.Add(3600), 2*3600)
	const begun = "2026-07-01T06:00+01:00"
	want := Facts{Work: []stock.Work{
		{Job: "j", Seq: 10, State: stock.Done, Station: "robot", Start: begun, End: "2026-07-01T08:00+01:00"},
		{Job: "j", Seq: 20, State: stock.Running, Station: "robot", Start: begun},
		{Job: "j", Seq: 30, State: stock.Running, Station: "robot", Start: begun},
		{Job: "j", Seq: 40, State: stock.Held, Note: "undercut"},
		{Job: "j", Seq: 50, State: stock.Held, Note: "undercut"},
	}, Down: []plant.Exception{{Station: "robot", From: begun, To: "2026-07-01T09:00+01:00", Kind: "down", Reason: "gearbox"}}}
	if d := cmp.Diff(want, got); d != "" {
		t.Error(d)
	}
	if got.Empty() || !new(Facts).Empty() {
		t.Error("empty or not")
	}
}
