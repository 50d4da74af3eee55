package floor

import (
	"strings"

	"tackline/fault"
	"tackline/plant"
)

// Kind says what happened.
type Kind string

// Kinds of events, with the fields that they carry beside those of every event.
const (
	Start  Kind = "start"  // an operation begins: Job, Seq, Station; Batch if it is in a load; Reason if it starts short of its kit
	Pause  Kind = "pause"  // it stops for a while: Job, Seq, Reason
	Resume Kind = "resume" // it goes on: Job, Seq, Station
	Count  Kind = "count"  // pieces are done and passed on while it goes on: Job, Seq, Good, Repair, Scrap; Reason for scrap
	Finish Kind = "finish" // it is over: as Count, with the last pieces
	Join   Kind = "join"   // Person works on it too: Job, Seq
	Leave  Kind = "leave"  // Person works on it no more: Job, Seq

	Hold   Kind = "hold"   // nothing goes on with it until somebody decides: Job, Seq, Reason
	Decide Kind = "decide" // ends a hold: Job, Seq, Of, Reason (repair, accept or scrap), Note

	Pick    Kind = "pick"    // a part of its kit is taken: Job, Seq, Item, Lot, Qty
	Deliver Kind = "deliver" // the kit is at the station: Job, Seq, Station
	Return  Kind = "return"  // a part goes back to its place: Job, Seq, Item, Lot, Qty

	Read Kind = "read" // a check is measured or answered: Job, Seq, Check, Value, Pass

	Down    Kind = "down"    // a station is out of order: Station, Reason
	Up      Kind = "up"      // and works again: Station
	Trouble Kind = "trouble" // something keeps people from working: Station, Reason; Job and Seq if at an operation
	Cleared Kind = "cleared" // it does no more: Station, Of
	SignOn  Kind = "sign on" // Person works at a station: Station
	SignOff Kind = "sign off"

	Undo Kind = "undo" // event Of was a mistake: Of, Reason, and the Job and Seq, or the Station, that it was about
)

// Event is something that happened. Fields that its kind does not use are empty.
type Event struct {
	ID      string          `json:"id"` // UUIDv7, made by the device
	Kind    Kind            `json:"kind"`
	Plant   plant.ID        `json:"plant"`
	At      plant.Time      `json:"at"` // by the clock of the device
	Device  string          `json:"device"`
	Person  plant.PersonID  `json:"person"`
	Job     plant.JobID     `json:"job,omitempty"`
	Seq     int             `json:"op,omitempty"`
	Station plant.StationID `json:"station,omitempty"`
	Batch   string          `json:"batch,omitempty"`
	Good    int             `json:"good,omitempty"`
	Repair  int             `json:"repair,omitempty"`
	Scrap   int             `json:"scrap,omitempty"`
	Reason  string          `json:"reason,omitempty"`
	Note    string          `json:"note,omitempty"`
	Of      string          `json:"of,omitempty"` // event that this one undoes, clears or decides
	Item    plant.ItemID    `json:"item,omitempty"`
	Lot     plant.LotID     `json:"lot,omitempty"`
	Qty     plant.Qty       `json:"qty,omitempty"`
	Check   string          `json:"check,omitempty"`
	Value   float64         `json:"value,omitempty"`
	Pass    bool            `json:"pass,omitempty"`
}

// OpKey names an operation.
type OpKey struct {
	Job plant.JobID
	Seq int
}

// Op gives the operation that an event is about; ok is false if it is about a station alone.
func (e *Event) Op() (k OpKey, ok bool) { return OpKey{e.Job, e.Seq}, e.Job != "" }

// need is what a kind of event must carry.
type need struct{ op, station, person, reason, of, item, check bool }

var needs = map[Kind]need{
	Start:  {op: true, station: true, person: true},
	Pause:  {op: true, person: true, reason: true},
	Resume: {op: true, station: true, person: true},
	Count:  {op: true, person: true},
	Finish: {op: true, person: true},
	Join:   {op: true, person: true},
	Leave:  {op: true, person: true},

	Hold:   {op: true, person: true, reason: true},
	Decide: {op: true, person: true, reason: true, of: true},

	Pick:    {op: true, person: true, item: true},
	Deliver: {op: true, station: true, person: true},
	Return:  {op: true, person: true, item: true},

	Read: {op: true, person: true, check: true},

	Down:    {station: true, person: true, reason: true},
	Up:      {station: true, person: true},
	Trouble: {station: true, person: true, reason: true},
	Cleared: {station: true, person: true, of: true},
	SignOn:  {station: true, person: true},
	SignOff: {station: true, person: true},

	Undo: {person: true, reason: true, of: true},
}

// Kinds gives every kind of event.
func Kinds() []Kind {
	return []Kind{Start, Pause, Resume, Count, Finish, Join, Leave, Hold, Decide, Pick, Deliver, Return, Read, Down, Up, Trouble, Cleared, SignOn, SignOff, Undo}
}

// Decisions that end a hold, as the Reason of a Decide event.
const (
	Repaired = "repair" // the pieces go through a loop of operations
	Accepted = "accept" // as they are
	Scrapped = "scrap"
)

// longest is the most letters that a text of an event may have, and mostPieces the most pieces.
const (
	longest    = 400
	mostPieces = 1_000_000
)

// Valid gives an Invalid fault if an event is not well formed, whatever the state of the floor: a field that its kind needs is
// missing, a count is negative, a text too long or not UTF-8, an identifier no UUIDv7.
func (e *Event) Valid() error {
	n, known := needs[e.Kind]
	if !known {
		return bad("kind", string(e.Kind), "one of "+kindsText())
	}
	if !IsID(e.ID) {
		return bad("id", e.ID, "a UUID of version 7, in small letters")
	}
	for _, x := range []struct {
		wanted bool
		has    bool
		name   string
	}{
		{true, e.Plant != "", "plant"}, {true, e.Device != "", "device"}, {true, e.At > 0, "at"},
		{n.op, e.Job != "" && e.Seq > 0, "job and op"}, {n.station, e.Station != "", "station"}, {n.person, e.Person != "", "person"},
		{n.reason, e.Reason != "", "reason"}, {n.of, e.Of != "", "of"}, {n.item, e.Item != "" && e.Qty > 0, "item and qty"},
		{n.check, e.Check != "", "check"},
	} {
		if x.wanted && !x.has {
			return bad(x.name, "", "it to be given with "+string(e.Kind))
		}
	}
	if e.Of != "" && !IsID(e.Of) {
		return bad("of", e.Of, "the id of an event")
	}
	if e.Kind == Undo && (e.Job == "") == (e.Station == "") {
		return bad("job", string(e.Job), "the operation or the station that the undone event is about, not both")
	}
	if (e.Job == "") != (e.Seq == 0) || e.Seq < 0 {
		return bad("op", "", "a job and an operation, or neither")
	}
	return e.validCounts()
}

func (e *Event) validCounts() error {
	for name, n := range map[string]int{"good": e.Good, "repair": e.Repair, "scrap": e.Scrap} {
		if n < 0 || n > mostPieces {
			return bad(name, "", "0 to 1,000,000 pieces")
		}
	}
	counted := e.Good+e.Repair+e.Scrap > 0
	switch {
	case counted && e.Kind != Count && e.Kind != Finish:
		return bad("good", "", "no pieces with "+string(e.Kind))
	case e.Kind == Count && !counted:
		return bad("good", "", "at least one piece, good, to repair or scrap")
	case e.Scrap > 0 && e.Reason == "":
		return bad("reason", "", "why pieces are scrap")
	case e.Kind == Decide && e.Reason != Repaired && e.Reason != Accepted && e.Reason != Scrapped:
		return bad("reason", e.Reason, "repair, accept or scrap")
	case e.Value != e.Value || e.Value > 1e15 || e.Value < -1e15:
		return bad("value", "", "a number")
	case e.Qty < 0:
		return bad("qty", "", "a quantity of 0 or more")
	}
	for name, s := range map[string]string{"device": e.Device, "person": string(e.Person), "plant": string(e.Plant), "job": string(e.Job),
		"station": string(e.Station), "batch": e.Batch, "reason": e.Reason, "note": e.Note, "item": string(e.Item), "lot": string(e.Lot), "check": e.Check} {
		if len(s) > longest || strings.ToValidUTF8(s, "") != s {
			return bad(name, "", "a text of at most 400 letters")
		}
	}
	return nil
}

func bad(field, value, expected string) error {
	return &fault.Fault{Kind: fault.Invalid, Table: "event", Column: field, Value: value, Expected: expected}
}

func kindsText() string {
	var words []string
	for _, k := range Kinds() {
		words = append(words, string(k))
	}
	return strings.Join(words, ", ")
}
