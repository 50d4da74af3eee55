package web

import (
	"strconv"

	"tackline/dispatch"
	"tackline/plant"
)

// opList is the columns of a list of operations, used by Unit and Load.
func (ix *index) opList(name string) *list[int] {
	return &list[int]{
		name: name, one: "operation", many: "operations", order: "setup", unpaged: true,
		anchor: opAnchor,
		empty:  "There is no operation here.",
		columns: []column[int]{
			{key: "operation", title: "Operation", cell: func(op int) cell {
				return text(strconv.Itoa(ix.op(op).Seq) + " " + ix.op(op).Name).under(ix.job(op).Name)
			}},
			{key: "station", title: "Station", cell: ix.stationCell},
			{key: "setup", title: "Setup", number: true, cell: func(op int) cell { return ix.instant(op, 0) }},
			{key: "start", title: "Start", number: true, cell: func(op int) cell { return ix.instant(op, 1) }},
			{key: "end", title: "End", number: true, cell: func(op int) cell { return ix.instant(op, 2) }},
			{key: "time", title: "Time", number: true, cell: func(op int) cell {
				sl, ok := ix.slot(op)
				if !ok {
					return text("how").to(ix.timesHref(op))
				}
				d := sl.End.Sub(sl.Setup)
				return number(d.Hours(), roughly(d)).to(ix.timesHref(op))
			}},
			{key: "state", title: "State", cell: func(op int) cell {
				c := lining(ix.opState(op))
				if why := ix.held[op]; why != "" {
					c.Under = why
				} else if why := ix.left[op]; why != "" {
					c.Under = why
				} else {
					c.Under = ix.handText(op)
				}
				return c
			}},
			{key: "kit", title: "Kit", cell: ix.kitCell},
			{key: "job", title: "Job", fileOnly: true, cell: func(op int) cell { return text(string(ix.job(op).ID)) }},
			{key: "item", title: "Item", fileOnly: true, cell: func(op int) cell { return text(string(ix.job(op).Item)) }},
		},
	}
}

func (ix *index) stationCell(op int) cell {
	sl, ok := ix.slot(op)
	if !ok {
		return text(ix.centreName(ix.op(op).Centre))
	}
	st := ix.station(sl)
	return link(st.Name, stationHref(st.ID))
}

// instant gives the begin of setup (0), of work (1) or the end (2) of an operation.
func (ix *index) instant(op, which int) cell {
	sl, ok := ix.slot(op)
	if !ok {
		return at(0, ix.first)
	}
	return at([]plant.Time{sl.Setup, sl.Load, sl.End}[which], ix.opZone(op))
}

// kitHatch gives the section-lining of a kit state.
func kitHatch(state string) hatching {
	switch state {
	case dispatch.KitComplete:
		return complete
	case dispatch.KitShort:
		return short
	case dispatch.KitPlanned:
		return planned
	}
	return noKit
}

func (ix *index) kitCell(op int) cell {
	k, ok := ix.kits[op]
	if !ok {
		return text("")
	}
	return lining(kitHatch(ix.view.Kits[k].State)).to(ix.kitHref(op))
}
