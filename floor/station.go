package floor

import (
	"slices"
	"strconv"

	"tackline/plant"
)

// Station is the state of one station, but for what runs on it; see State.At.
type Station struct {
	Down     *Stop        `json:"down,omitempty"` // out of order
	Troubles []Stop       `json:"troubles,omitempty"`
	People   []Attendance `json:"people,omitempty"` // signed on
}

// Attendance is a person who is signed on at a station.
type Attendance struct {
	Person plant.PersonID `json:"person"`
	Since  plant.Time     `json:"since"`
}

// Refuse gives a Conflict fault in words if an event about the station cannot have happened in the state that it is in.
func (s *Station) Refuse(e *Event, r Rules) error {
	switch e.Kind {
	case Down:
		if s.Down != nil {
			return refused("%s is down already, since %s: %s.", r.station(e.Station), r.When(s.Down.At), s.Down.Reason)
		}
	case Up:
		if s.Down == nil {
			return refused("%s is not down.", r.station(e.Station))
		}
	case Cleared:
		if !slices.ContainsFunc(s.Troubles, func(t Stop) bool { return t.Event == e.Of }) {
			return refused("There is no such trouble at %s any more.", r.station(e.Station))
		}
	case SignOn:
		if s.has(e.Person) >= 0 {
			return refused("%s is signed on at %s already.", r.person(e.Person), r.station(e.Station))
		}
	case SignOff:
		if s.has(e.Person) < 0 {
			return refused("%s is not signed on at %s.", r.person(e.Person), r.station(e.Station))
		}
	}
	return nil
}

// Next gives the state after an event that was recorded.
func (s Station) Next(e *Event) Station {
	switch e.Kind {
	case Down:
		stop := stopOf(e)
		s.Down = &stop
	case Up:
		s.Down = nil
	case Trouble:
		s.Troubles = append(slices.Clone(s.Troubles), stopOf(e))
	case Cleared:
		s.Troubles = without(s.Troubles, e.Of)
	case SignOn:
		s.People = append(slices.Clone(s.People), Attendance{e.Person, e.At})
	case SignOff:
		if i := s.has(e.Person); i >= 0 {
			s.People = slices.Delete(slices.Clone(s.People), i, i+1)
		}
		if len(s.People) == 0 {
			s.People = nil
		}
	}
	return s
}

func (s *Station) has(p plant.PersonID) int {
	return slices.IndexFunc(s.People, func(a Attendance) bool { return a.Person == p })
}

// opText names the operation of an event for people: "operation 20 of job 1042-1-1/jaw-4c".
func opText(e *Event) string { return "operation " + strconv.Itoa(e.Seq) + " of job " + string(e.Job) }
