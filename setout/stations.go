package setout

import (
	"tackline/book"
	"tackline/needs"
	"tackline/plant"
)

// StationsOf gives the stations of an operation by the book, before anything is pinned or forbidden, in the order of the book.
func StationsOf(ix *book.Index, o *needs.Op) []plant.StationID {
	var out []plant.StationID
	if len(o.Able) == 0 {
		for _, s := range ix.StationsOf[o.Centre] {
			out = append(out, s.ID)
		}
		return out
	}
	for _, a := range o.Able {
		if s := ix.Stations[a.Station]; s != nil && s.Centre == o.Centre {
			out = append(out, a.Station)
		}
	}
	return out
}
