package schedule

import (
	"cmp"
	"math"
	"slices"

	"tackline/plant"
)

// gain bounds the cents that a load costs on top of the critical paths. Work may be split and interrupted at will: each piece
// goes into cells, no cell holds more than its room, and a piece in a cell costs what the unit then is later at least. That
// is a transportation problem. Its dual has a price for the room of each cell; for any prices
//
//	sum over pieces of min over cells of (cost + work x price)  -  sum over cells of room x price
//
// is a bound. Good prices are found by subgradient steps (Held, Wolfe and Crowder, "Validation of subgradient optimization",
// 1974). late is set to the units that take part in the bound.
func (x *load) gain(levels []plant.Seconds) float64 {
	x.late = x.late[:0]
	if len(x.pieces) == 0 {
		return 0
	}
	t := newTrade(x, levels)
	most := t.inOrderOfDates()
	if most <= 0 {
		return 0 // everything fits
	}
	t.marginal()
	best := t.improve(most)
	if best <= 0 {
		return 0
	}
	value := t.answer()
	for u, cents := range t.cents {
		if cents > 1e-9 {
			x.late = append(x.late, u)
		}
	}
	slices.Sort(x.late)
	return value
}

// improve looks for better prices and gives the best value that it found, with its prices: first for many neighbouring cells
// together, which soon gives their level, then for fewer. most is a cost that the value cannot be above.
func (t *trade) improve(most float64) float64 {
	best := 0.0
	prices := make([]float64, len(t.price))
	rounds := min(120, 20+60_000/len(t.pieces))
	for wide := 64; wide >= 1 && best < most*0.999; wide /= 4 {
		hope := max(best/2, (most-best)/50) // what the next step is to bring
		for round, fails := 0, 0; round < rounds; round++ {
			value := t.answer()
			if value > best {
				best, fails, hope = value, 0, hope*1.2
				copy(prices, t.price)
			} else if fails++; fails == 6 {
				hope, fails = hope/2, 0
				copy(t.price, prices)
				value = t.answer()
			}
			if !t.step(min(most, best+hope)-value, wide) {
				break
			}
		}
		copy(t.price, prices)
	}
	return best
}

// trade is a load with prices for the room of its cells.
type trade struct {
	*load
	hours  []float64 // levels above 0, in hours
	price  []float64
	use    []float64 // of the last answer
	lowest [][]int32 // by power of two: the cell with the lowest price from here on
	cents  map[int]float64
	placed []date // pieces in order of cell, as inOrderOfDates has them
	full   []bool // cells it filled
}

func newTrade(x *load, levels []plant.Seconds) *trade {
	n := len(x.room)
	t := &trade{load: x, price: make([]float64, n), use: make([]float64, n), full: make([]bool, n)}
	for _, l := range levels[1:] {
		t.hours = append(t.hours, l.Hours())
	}
	for w := 1; w <= n; w *= 2 {
		t.lowest = append(t.lowest, make([]int32, n-w+1))
	}
	return t
}

// index works out lowest for the ranges that begin at k; those behind must be known.
func (t *trade) index(k int) {
	t.lowest[0][k] = int32(k)
	for w := 1; w < len(t.lowest) && k < len(t.lowest[w]); w++ {
		a, b := t.lowest[w-1][k], t.lowest[w-1][k+1<<(w-1)]
		if t.price[b] < t.price[a] {
			a = b
		}
		t.lowest[w][k] = a
	}
}

// marginal sets first prices: what it costs if a little room of a cell is taken away and what inOrderOfDates has there moves on,
// from cell to cell, until there is room.
func (t *trade) marginal() {
	n := len(t.room) - 1
	t.price[n] = 0
	t.index(n)
	at := len(t.placed) - 1
	for at >= 0 && int(t.placed[at].cell) == n {
		at--
	}
	for k := n - 1; k >= 0; k-- {
		t.price[k] = 0
		switch {
		case t.room[k] <= 0:
			t.price[k] = math.Inf(1) // closed
		case t.full[k]:
			t.price[k] = math.Inf(1)
			for b := at; b >= 0 && int(t.placed[b].cell) == k; b-- {
				q := &t.pieces[t.placed[b].piece]
				c, _ := t.best(q, int32(k+1))
				t.price[k] = min(t.price[k], (c-t.costs(t.placed[b].piece, k))/q.work)
			}
			t.price[k] = max(0, t.price[k])
		}
		for at >= 0 && int(t.placed[at].cell) == k {
			at--
		}
		t.index(k)
	}
}

// best gives the cents that a piece costs at least if it is worked on in a cell from from on, and that cell.
func (t *trade) best(q *piece, from int32) (cents float64, at int32) {
	last := int32(len(t.room))
	cents, at = math.Inf(1), last-1
	cost := 0.0
	for j := 0; j <= len(q.starts) && cost < cents; j++ {
		to := last
		if j < len(q.starts) {
			to = q.starts[j]
		}
		if to > from {
			k := t.cheapest(from, to)
			if c := cost + q.work*t.price[k]; c < cents {
				cents, at = c, k
			}
			from = to
		}
		if j < len(q.starts) {
			cost = q.weight * t.hours[j]
		}
	}
	return cents, at
}

// cheapest gives the cell with the lowest price in [from, to).
func (t *trade) cheapest(from, to int32) int32 {
	w := 0
	for int32(2)<<w <= to-from {
		w++
	}
	a, b := t.lowest[w][from], t.lowest[w][to-int32(1)<<w]
	if t.price[b] < t.price[a] {
		return b
	}
	return a
}

// answer puts each piece where it is cheapest and gives the value of the dual.
func (t *trade) answer() float64 {
	for k := len(t.room) - 1; k >= 0; k-- {
		t.index(k)
	}
	clear(t.use)
	t.cents = map[int]float64{}
	var value float64
	for i := range t.pieces {
		q := &t.pieces[i]
		cents, at := t.best(q, q.first)
		value += cents
		if cents > 0 {
			t.cents[q.unit] += cents
		}
		t.use[at] += q.work
	}
	for k, r := range t.room[:len(t.room)-1] {
		if r > 0 {
			value -= t.price[k] * r
		}
	}
	return value
}

// step moves the prices along the overload of so many cells at a time, by so much that a bound of the gap more would be reached if
// it went on as it begins (Polyak 1969). It says whether there is any overload.
func (t *trade) step(gap float64, wide int) bool {
	n := len(t.room) - 1
	over := make([]float64, (n+wide-1)/wide)
	var square float64
	for g := range over {
		price := 0.0
		for k := g * wide; k < min(n, g*wide+wide); k++ {
			if t.room[k] > 0 {
				over[g] += t.use[k] - t.room[k]
				price = max(price, t.price[k])
			}
		}
		if over[g] < 0 && price <= 0 {
			over[g] = 0
		}
		square += over[g] * over[g]
	}
	if square <= 0 {
		return false
	}
	for k := range t.room[:n] {
		t.price[k] = max(0, t.price[k]+gap/square*over[k/wide])
	}
	return true
}

// inOrderOfDates fills the cells one after the other, each with what first costs something (Jackson 1955), and gives what that costs: 0
// if everything fits, else not less than the best bound.
func (t *trade) inOrderOfDates() float64 {
	order := make([]int32, len(t.pieces))
	for i := range order {
		order[i] = int32(i)
	}
	slices.SortFunc(order, func(a, b int32) int { return cmp.Compare(t.pieces[a].first, t.pieces[b].first) })
	left := make([]float64, len(t.pieces))
	for i := range left {
		left[i] = t.pieces[i].work
	}
	var waiting dates
	var cents float64
	next := 0
	for k, room := range t.room {
		if k+1 == len(t.room) {
			room = math.Inf(1)
		}
		for ; next < len(order) && int(t.pieces[order[next]].first) <= k; next++ {
			waiting.push(t.date(order[next]))
		}
		for room > 0 && len(waiting) > 0 {
			i := waiting[0].piece
			done := min(room, left[i])
			t.placed = append(t.placed, date{int32(k), i})
			cents += t.costs(i, k) * done / t.pieces[i].work
			room -= done
			if left[i] -= done; left[i] <= 1e-9 {
				waiting.pop()
			}
		}
		t.full[k] = room <= 0
	}
	return cents
}

// costs gives what piece i costs in cell k.
func (t *trade) costs(i int32, k int) float64 {
	q := &t.pieces[i]
	cost := 0.0
	for j, s := range q.starts {
		if int(s) > k {
			break
		}
		cost = q.weight * t.hours[j]
	}
	return cost
}

// date is the first cell in which a piece costs something.
type date struct{ cell, piece int32 }

func (t *trade) date(i int32) date {
	if s := t.pieces[i].starts; len(s) > 0 {
		return date{s[0], i}
	}
	return date{int32(len(t.room)), i}
}

// dates is a heap, the earliest first (Williams, "Algorithm 232: Heapsort", 1964).
type dates []date

func (h *dates) push(d date) {
	*h = append(*h, d)
	s := *h
	for i := len(s) - 1; i > 0; {
		up := (i - 1) / 2
		if s[up].cell <= s[i].cell {
			break
		}
		s[up], s[i] = s[i], s[up]
		i = up
	}
}

func (h *dates) pop() {
	s := *h
	s[0] = s[len(s)-1]
	s = s[:len(s)-1]
	*h = s
	for i := 0; ; {
		low := 2*i + 1
		if low >= len(s) {
			return
		}
		if low+1 < len(s) && s[low+1].cell < s[low].cell {
			low++
		}
		if s[i].cell <= s[low].cell {
			return
		}
		s[i], s[low] = s[low], s[i]
		i = low
	}
}
