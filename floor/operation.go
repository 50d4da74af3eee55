package floor

import (
	"slices"

	"tackline/fault"
	"tackline/plant"
)

// Phase is how far an operation is. Held is not a phase: a hold stands beside it.
type Phase string

// Phases of an operation.
const (
	Waiting Phase = ""        // not begun
	Running Phase = "running" // somebody works on it, or it runs alone
	Paused  Phase = "paused"
	Done    Phase = "done"
)

// Op is the state of one operation. It is a value: Next leaves the one before as it was.
type Op struct {
	Phase   Phase           `json:"phase,omitempty"`
	Station plant.StationID `json:"station,omitempty"` // where it was begun or goes on
	Batch   string          `json:"batch,omitempty"`   // the load that it is in
	Began   plant.Time      `json:"began,omitempty"`
	Ended   plant.Time      `json:"ended,omitempty"`
	Since   plant.Time      `json:"since,omitempty"` // in this phase
	Good    int             `json:"good,omitempty"`
	Repair  int             `json:"repair,omitempty"`
	Scrap   int             `json:"scrap,omitempty"`
	Why     string          `json:"why,omitempty"`   // why it is paused
	Short   string          `json:"short,omitempty"` // why it was begun short of its kit
	Holds   []Stop          `json:"holds,omitempty"` // open
	Stints  []Stint         `json:"stints,omitempty"`
	Kit     KitPhase        `json:"kit,omitempty"`
	Parts   []Part          `json:"parts,omitempty"`    // picked and not returned
	Reads   []Reading       `json:"readings,omitempty"` // the last of each check
}

// Stop is a hold, or trouble at a station, that is open.
type Stop struct {
	Event  string         `json:"event"` // that opened it
	At     plant.Time     `json:"at"`
	Person plant.PersonID `json:"person"`
	Reason string         `json:"reason"`
	Note   string         `json:"note,omitempty"`
	Job    plant.JobID    `json:"job,omitempty"` // of trouble at an operation
	Seq    int            `json:"op,omitempty"`
}

// Stint is time of a person at an operation. To is 0 while it goes on.
type Stint struct {
	Person plant.PersonID `json:"person"`
	From   plant.Time     `json:"from"`
	To     plant.Time     `json:"to,omitempty"`
}

// KitPhase is where the kit of an operation is.
type KitPhase string

// Phases of a kit.
const (
	NotPicked KitPhase = ""
	Picking   KitPhase = "picking"
	Delivered KitPhase = "delivered"
)

// Part is a quantity of a kit that was picked from a lot.
type Part struct {
	Item plant.ItemID `json:"item"`
	Lot  plant.LotID  `json:"lot,omitempty"`
	Qty  plant.Qty    `json:"qty"`
}

// Reading is what was measured or answered for a check.
type Reading struct {
	Check  string         `json:"check"`
	Value  float64        `json:"value,omitempty"`
	Pass   bool           `json:"pass,omitempty"`
	At     plant.Time     `json:"at"`
	Person plant.PersonID `json:"person"`
}

// Refuse gives a Conflict fault in words if an event about the operation cannot have happened in the state that it is in.
func (o *Op) Refuse(e *Event, r Rules) error {
	switch e.Kind {
	case Start:
		return o.refuseStart(r)
	case Pause, Join, Leave:
		if o.Phase != Running {
			return refused("%s does not run: it %s.", opText(e), o.phaseText(r))
		}
		if at := o.stintOf(e.Person); e.Kind == Join && at >= 0 {
			return refused("%s works on %s already.", r.person(e.Person), opText(e))
		} else if e.Kind == Leave && at < 0 {
			return refused("%s does not work on %s.", r.person(e.Person), opText(e))
		}
	case Resume:
		if o.Phase != Paused {
			return refused("%s is not paused: it %s.", opText(e), o.phaseText(r))
		}
		if len(o.Holds) > 0 {
			return refused("%s is held: %s. Nothing goes on with it until that is decided.", opText(e), o.Holds[0].Reason)
		}
	case Count, Finish:
		if o.Phase != Running && o.Phase != Paused {
			return refused("%s has not begun, or is over: it %s.", opText(e), o.phaseText(r))
		}
		if left, known := r.left(e, o); known && e.Good+e.Repair+e.Scrap > left {
			return refused("%d pieces are counted, but of this job only %d are left. Count again.", e.Good+e.Repair+e.Scrap, left)
		}
		if e.Kind == Finish && len(o.Holds) > 0 {
			return refused("%s is held: %s. It cannot be finished until that is decided.", opText(e), o.Holds[0].Reason)
		}
	case Decide:
		if !slices.ContainsFunc(o.Holds, func(h Stop) bool { return h.Event == e.Of }) {
			return refused("%s has no such open hold.", opText(e))
		}
	case Pick, Deliver:
		if o.Phase == Done {
			return refused("%s is over: its kit is used up.", opText(e))
		}
	case Return:
		if i := o.partOf(e); i < 0 || o.Parts[i].Qty < e.Qty {
			return refused("So much of %s, lot %s, was not picked for %s.", e.Item, e.Lot, opText(e))
		}
	}
	return nil
}

func (o *Op) refuseStart(r Rules) error {
	switch {
	case o.Phase == Running:
		return refused("It runs already, on %s since %s.", r.station(o.Station), r.When(o.Since))
	case o.Phase != Waiting:
		return refused("It cannot be begun: it %s.", o.phaseText(r))
	case len(o.Holds) > 0:
		return refused("It is held: %s. Nothing goes on with it until that is decided.", o.Holds[0].Reason)
	}
	return nil
}

// Next gives the state after an event that was recorded. Facts of a kind that it does not know leave it as it is.
func (o Op) Next(e *Event) Op {
	switch e.Kind {
	case Start:
		o.Phase, o.Station, o.Batch, o.Began, o.Since, o.Short = Running, e.Station, e.Batch, e.At, e.At, e.Reason
		o.Stints = append(slices.Clone(o.Stints), Stint{Person: e.Person, From: e.At})
	case Pause:
		o.Phase, o.Since, o.Why = Paused, e.At, e.Reason
		o.Stints = closed(o.Stints, e.At, "")
	case Resume:
		o.Phase, o.Station, o.Since, o.Why = Running, e.Station, e.At, ""
		o.Stints = append(slices.Clone(o.Stints), Stint{Person: e.Person, From: e.At})
	case Count, Finish:
		o.Good, o.Repair, o.Scrap = o.Good+e.Good, o.Repair+e.Repair, o.Scrap+e.Scrap
		if e.Kind == Finish {
			o.Phase, o.Since, o.Ended, o.Why = Done, e.At, e.At, ""
			o.Stints = closed(o.Stints, e.At, "")
		}
	case Join:
		o.Stints = append(slices.Clone(o.Stints), Stint{Person: e.Person, From: e.At})
	case Leave:
		o.Stints = closed(o.Stints, e.At, e.Person)
	case Hold:
		o.Holds = append(slices.Clone(o.Holds), stopOf(e))
		if o.Phase == Running {
			o.Phase, o.Since, o.Why = Paused, e.At, "held: "+e.Reason
			o.Stints = closed(o.Stints, e.At, "")
		}
	case Decide:
		o.Holds = without(o.Holds, e.Of)
	case Pick:
		o.Parts = slices.Clone(o.Parts)
		if i := o.partOf(e); i >= 0 {
			o.Parts[i].Qty += e.Qty
		} else {
			o.Parts = append(o.Parts, Part{e.Item, e.Lot, e.Qty})
		}
		if o.Kit == NotPicked {
			o.Kit = Picking
		}
	case Return:
		o.Parts = slices.Clone(o.Parts)
		if i := o.partOf(e); i >= 0 {
			o.Parts[i].Qty -= e.Qty
			o.Parts = slices.DeleteFunc(o.Parts, func(p Part) bool { return p.Qty <= 0 })
		}
	case Deliver:
		o.Kit = Delivered
	case Read:
		o.Reads = slices.DeleteFunc(slices.Clone(o.Reads), func(r Reading) bool { return r.Check == e.Check })
		o.Reads = append(o.Reads, Reading{e.Check, e.Value, e.Pass, e.At, e.Person})
	}
	return o
}

// Worked gives the time of people at the operation up to an instant, all of them together.
func (o *Op) Worked(now plant.Time) (sum plant.Seconds) {
	for _, s := range o.Stints {
		to := s.To
		if to == 0 {
			to = now
		}
		sum += max(0, to.Sub(s.From))
	}
	return sum
}

// People gives who works at the operation now, in the order in which they came.
func (o *Op) People() (list []plant.PersonID) {
	for _, s := range o.Stints {
		if s.To == 0 {
			list = append(list, s.Person)
		}
	}
	return list
}

// Pieces gives the pieces done so far, good, to repair and scrap together.
func (o *Op) Pieces() int { return o.Good + o.Repair + o.Scrap }

// stintOf gives the place of a person's open stint, or -1.
func (o *Op) stintOf(p plant.PersonID) int {
	return slices.IndexFunc(o.Stints, func(s Stint) bool { return s.Person == p && s.To == 0 })
}

func (o *Op) partOf(e *Event) int {
	return slices.IndexFunc(o.Parts, func(p Part) bool { return p.Item == e.Item && p.Lot == e.Lot })
}

func (o *Op) phaseText(r Rules) string {
	switch o.Phase {
	case Running:
		return "runs on " + r.station(o.Station) + " since " + r.When(o.Since)
	case Paused:
		return "is paused since " + r.When(o.Since) + ": " + o.Why
	case Done:
		return "was finished at " + r.When(o.Ended)
	}
	return "has not begun"
}

// closed ends the open stints of a person, or of everybody.
func closed(stints []Stint, at plant.Time, who plant.PersonID) []Stint {
	out := slices.Clone(stints)
	for i := range out {
		if out[i].To == 0 && (who == "" || out[i].Person == who) {
			out[i].To = max(at, out[i].From)
		}
	}
	return out
}

func stopOf(e *Event) Stop {
	return Stop{Event: e.ID, At: e.At, Person: e.Person, Reason: e.Reason, Note: e.Note, Job: e.Job, Seq: e.Seq}
}

// without gives the stops but for the one that an event opened; nil if there are none.
func without(stops []Stop, event string) []Stop {
	out := slices.DeleteFunc(slices.Clone(stops), func(s Stop) bool { return s.Event == event })
	if len(out) == 0 {
		return nil
	}
	return out
}

func refused(format string, args ...any) error { return fault.New(fault.Conflict, format, args...) }
