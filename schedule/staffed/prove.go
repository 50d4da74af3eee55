package staffed

import (
	"math/bits"
	"slices"

	"tackline/schedule/precedence"
)

// Limits of a proof: operations, states of a step, and comparisons of states.
const (
	mostProved      = 24
	mostStates      = 60_000
	mostComparisons = 40_000_000
)

// prover tries to prove that no plan is shorter than a given one. It builds plans in the order of begins, all at once,
// one operation a step (dynamic programming over sets of operations; Held and Karp 1962; Gromicho et al., "Solving the job-shop
// scheduling problem optimally by dynamic programming", Computers & OR 39, 2012). A state says what is done, from when on each machine
// and worker is free, and when what others wait for is over; nothing begins before the last begin. Of two states with
// the same work done, one that is nowhere later makes the other needless. States that cannot lead to a shorter plan are left out.
type prover struct {
	b           *bounder
	next        [][]int
	users       []uint32  // by resource: operations that can use it
	before      []uint32  // by operation: what it waits for
	prices      [][]int64 // ways to price the resources, the last number their sum
	costs       [][]int64 // cost of each operation at these
	upper       int32
	stop        func() bool
	states      []state
	byWork      map[uint32][]int // states of the step being made, by what is done
	comparisons int
	ends        []int32
}

// state is what is done so far, and from when on: by resource free, by operation over (0: nothing needs it any more).
type state struct {
	done uint32
	at   []int32
	gone bool // another one is nowhere later
}

// proved says that no plan of the instance is shorter than upper; false if one is, or if the proof would be too long.
func proved(in *Instance, upper int, stop func() bool) bool {
	n := len(in.Modes)
	if n > mostProved {
		return false
	}
	p := &prover{b: newBounder(in), next: precedence.Next(in.After), before: make([]uint32, n), upper: int32(upper), stop: stop, ends: make([]int32, n)}
	p.b.longestWay()
	p.users = make([]uint32, p.b.r)
	for o, list := range in.Modes {
		for _, x := range list {
			p.users[x.Machine] |= 1 << o
			p.users[in.Machines+x.Worker] |= 1 << o
		}
		for _, x := range in.After[o] {
			p.before[o] |= 1 << x
		}
	}
	p.setPrices()
	now := []state{{at: make([]int32, p.b.r+n)}}
	for range n {
		if len(now) == 0 {
			return true
		}
		if now = p.step(now); now == nil {
			return false
		}
	}
	return len(now) == 0
}

// setPrices prepares prices: good ones for all work, and the whole price on each resource.
func (p *prover) setPrices() {
	all := make([]int, p.b.n)
	for o := range all {
		all[o] = o
	}
	p.b.raise(all)
	p.addPrices()
	for r := range p.b.r {
		clear(p.b.price)
		p.b.price[r] = 1
		p.addPrices()
	}
}

func (p *prover) addPrices() {
	total, useful := int64(0), int64(0)
	for _, x := range p.b.price {
		total += x
	}
	for o := range p.b.n {
		p.b.charge(o)
		useful += p.b.cost[o]
	}
	if useful > 0 {
		p.prices = append(p.prices, append(slices.Clone(p.b.price), total))
		p.costs = append(p.costs, slices.Clone(p.b.cost))
	}
}

// step gives the states with one operation more; nil if there are too many.
func (p *prover) step(now []state) []state {
	p.states, p.byWork = nil, map[uint32][]int{}
	for i := range now {
		if i&255 == 0 && p.stop() {
			return nil
		}
		s := &now[i]
		for o := range p.b.n {
			if s.done>>o&1 == 1 || s.done&p.before[o] != p.before[o] {
				continue
			}
			for _, x := range p.b.in.Modes[o] {
				p.place(s, o, x)
			}
		}
		if len(p.states) > mostStates || p.comparisons > mostComparisons {
			return nil
		}
	}
	return slices.DeleteFunc(append([]state{}, p.states...), func(s state) bool { return s.gone })
}

// place puts operation o in mode x behind a state.
func (p *prover) place(s *state, o int, x Mode) {
	m, w := x.Machine, p.b.in.Machines+x.Worker
	begin := max(s.at[m], s.at[w])
	for _, y := range p.b.in.After[o] {
		begin = max(begin, s.at[p.b.r+y])
	}
	end := begin + int32(x.Time)
	if end+int32(p.b.tail[o]) >= p.upper {
		return
	}
	t := state{done: s.done | 1<<o, at: slices.Clone(s.at)}
	t.at[m], t.at[w], t.at[p.b.r+o] = end, end, end
	for r := range p.b.r {
		if t.at[r] = max(t.at[r], begin); p.users[r]&^t.done == 0 {
			t.at[r] = 0
		}
	}
	for y := range p.b.n {
		if t.at[p.b.r+y] = max(t.at[p.b.r+y], begin); t.done>>y&1 == 0 || !p.awaited(y, t.done) {
			t.at[p.b.r+y] = 0
		}
	}
	if p.hopeful(&t) && !p.needless(&t) {
		p.byWork[t.done] = append(p.byWork[t.done], len(p.states))
		p.states = append(p.states, t)
	}
}

// awaited says that something not yet done waits for o.
func (p *prover) awaited(o int, done uint32) bool {
	for _, x := range p.next[o] {
		if done>>x&1 == 0 {
			return true
		}
	}
	return false
}

// hopeful says that heads, tails and prices allow the state a plan shorter than upper.
func (p *prover) hopeful(s *state) bool {
	for _, o := range p.b.order {
		if s.done>>o&1 == 1 {
			continue
		}
		ready, end := int32(0), int32(1)<<30
		for _, y := range p.b.in.After[o] {
			if s.done>>y&1 == 1 {
				ready = max(ready, s.at[p.b.r+y])
			} else {
				ready = max(ready, p.ends[y])
			}
		}
		for _, x := range p.b.in.Modes[o] {
			end = min(end, max(ready, s.at[x.Machine], s.at[p.b.in.Machines+x.Worker])+int32(x.Time))
		}
		if p.ends[o] = end; end+int32(p.b.tail[o]) >= p.upper {
			return false
		}
	}
	for i, price := range p.prices {
		sum := int64(0)
		for r, at := range s.at[:p.b.r] {
			sum += price[r] * int64(at)
		}
		for left := (uint32(1)<<p.b.n - 1) &^ s.done; left != 0; left &= left - 1 {
			sum += p.costs[i][bits.TrailingZeros32(left)]
		}
		if sum > int64(p.upper-1)*price[p.b.r] {
			return false
		}
	}
	return true
}

// needless says that a state with the same work done is nowhere later; those that are nowhere earlier go.
func (p *prover) needless(s *state) bool {
	for _, i := range p.byWork[s.done] {
		t := &p.states[i]
		if t.gone {
			continue
		}
		p.comparisons++
		earlier, later := false, false
		for k, at := range s.at {
			earlier, later = earlier || at < t.at[k], later || at > t.at[k]
			if earlier && later {
				break
			}
		}
		if !earlier {
			return true
		}
		t.gone = !later
	}
	return false
}
