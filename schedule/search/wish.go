package search

import "tackline/plant"

// In a small plant some of what is taken out is put back later than it could be, at an instant at which something else
// happens: only so can plans be reached in which work waits for a reason that is not seen from its own place, as for heads that
// another needs, or for what it is to meet.

// wished are instants before which something is not to be loaded, to run and to be unloaded; 0 for no wish.
type wished struct{ load, run, unload plant.Time }

// wish draws what is wished of o.
func (s *state) wish(o int32, ready, limit plant.Time) (x wished) {
	w := &s.m.ops[o]
	if s.rule.wish == 0 || w.to == w.from || s.luck.unit() >= s.rule.wish {
		return x
	}
	v := s.visitOf(o, w.from+int32(s.luck.next()%uint64(w.to-w.from)))
	at := s.happens(&v, ready)
	if at <= ready || at > limit {
		return x
	}
	load, run := at, at
	if s.luck.unit() < 0.5 { // over by then
		load, run = s.backFrom(&v, at)
	}
	switch u := s.luck.unit(); {
	case u < 0.15: // loaded as soon as can be
		x.run = run
	case u < 0.3:
		x.load, x.run = load, s.happens(&v, load)
	case u < 0.45 && v.toUnload > 0:
		x.unload = at
	default:
		x.load = load
	}
	return x
}

// happens draws an instant at which something happens, not long after t: hours or heads change, or work begins or ends.
func (s *state) happens(v *visit, t plant.Time) plant.Time {
	x := s.luck.next()
	n := int(x>>8) % 4
	switch x % 4 {
	case 0:
		h := &s.m.hours[v.loadHours]
		if i := h.at(t) + n; i < len(h.spans) {
			if x>>16&1 == 0 {
				return h.spans[i].To
			}
			return h.spans[i].From
		}
	case 1:
		if len(s.m.heads) > 0 {
			at := s.m.heads[int(x>>16)%len(s.m.heads)].at
			if i := upTo(at, t) + n; i < len(at) {
				return at[i]
			}
		}
	default:
		u := &s.visits[s.m.kinOps.all[int(x>>16)%len(s.m.kinOps.all)]] // also of what is gone: when it was done
		if u.end == 0 {
			return 0
		}
		return [...]plant.Time{u.setup, u.load, u.run, s.m.hours[u.loadHours].Add(u.run, u.beside), u.runEnd, u.unload, u.end, u.end}[int(x>>8)%8]
	}
	return 0
}
