package schedule

import (
	"maps"
	"math"
	"slices"

	"tackline/plant"
)

// leastSetup gives setup work that no complete plan does without: the own setups, for batches those of the fewest, and the
// changeovers. Every turn of a family costs at least the cheapest changeover into it. Beyond that, each family that a group
// of stations needs is entered a first time, after what a station stands in or after a family entered before: these entries make
// a tree, and no tree is cheaper than the cheapest (Chu and Liu, "On the shortest arborescence of a directed graph", 1965;
// Edmonds, "Optimum branchings", 1967). What a station stands in comes before one entry only.
func (e *earliest) leastSetup() plant.Seconds {
	p := e.p
	g := stationGroups(p)
	groups := make([]setupGroup, len(g.size))
	for s := range p.Stations {
		x := &groups[g.of[s]]
		x.stations = append(x.stations, s)
		x.stands = append(x.stands, e.standing(s)...)
	}
	for i := range p.Ops {
		if o := &p.Ops[i]; o.State == ToPlan && len(o.Can) > 0 {
			groups[g.of[o.Can[0].Station]].add(p, o)
		}
	}
	var sum plant.Seconds
	for i := range groups {
		sum += groups[i].least(p)
	}
	return sum
}

// standing gives the families in which a station stands from now on, as far as they are known: that of the last work begun, and
// those of fixed work still to begin.
func (e *earliest) standing(s int) []int {
	families := []int{e.p.Stations[s].Family}
	for _, k := range e.r.at[s] {
		switch t := &e.r.turns[k]; {
		case t.family == 0:
		case t.slot.Run < e.p.Now:
			families[0] = t.family
		default:
			families = append(families, t.family)
		}
	}
	return families
}

// setupGroup is a group of stations with the setups that it needs.
type setupGroup struct {
	stations []int
	stands   []int // families that stations stand in, one for each time
	own      plant.Seconds
	turns    map[int]int             // turns at least, by family, of what is alone
	batches  map[batchKey]*batchLoad // what can share batches
}

type batchKey struct {
	key    string
	family int
	closed Closed
}

type batchLoad struct {
	size  float64       // summed
	share float64       // seconds of setup times size
	least plant.Seconds // setup of the member with the least
	most  plant.Seconds
}

func (g *setupGroup) add(p *Problem, o *Op) {
	for _, a := range o.Can {
		if t := p.Stations[a.Station].Takes; t != One && t != Batch {
			return
		}
	}
	if p.Stations[o.Can[0].Station].Takes == One {
		g.own += o.Setup
		if o.Family > 0 {
			if g.turns == nil {
				g.turns = map[int]int{}
			}
			g.turns[o.Family]++
		}
		return
	}
	k := batchKey{o.Key, o.Family, o.Closed}
	b := g.batches[k]
	if b == nil {
		if g.batches == nil {
			g.batches = map[batchKey]*batchLoad{}
		}
		b = &batchLoad{least: o.Setup}
		g.batches[k] = b
	}
	b.size += float64(o.Size)
	b.share += float64(o.Size) * float64(o.Setup)
	b.least, b.most = min(b.least, o.Setup), max(b.most, o.Setup)
}

// least gives the setup work of a group.
func (g *setupGroup) least(p *Problem) plant.Seconds {
	sum := g.own
	turns := make(map[int]int, len(g.turns))
	for f, n := range g.turns {
		turns[f] = n
	}
	room := g.room(p)
	for k, b := range g.batches {
		n := 1
		if room > 0 {
			n = max(1, int(math.Ceil(b.size/room-1e-9)))
			sum += max(b.most+plant.Seconds(n-1)*b.least, plant.Seconds(b.share/room))
		}
		if k.family > 0 {
			turns[k.family] += n
		}
	}
	if len(turns) == 0 {
		return sum
	}
	return sum + g.changeovers(p, turns)
}

// room gives the capacity of the largest station.
func (g *setupGroup) room(p *Problem) float64 {
	var room float64
	for _, s := range g.stations {
		room = max(room, float64(p.Stations[s].Capacity))
	}
	return room
}

// changeovers bounds the changeovers of a group that has so many turns of each family.
func (g *setupGroup) changeovers(p *Problem, turns map[int]int) plant.Seconds {
	centres := map[int]bool{}
	for _, s := range g.stations {
		centres[p.Stations[s].Centre] = true
	}
	cost := func(a, b int) plant.Seconds {
		least := plant.Seconds(plant.Never)
		for c := range centres {
			least = min(least, changeover(p.Centres[c].Changeover, a, b))
		}
		return least
	}
	families := slices.Sorted(maps.Keys(turns))
	// Node 0 stands for what stations stand in, node k for families[k-1]; arcs cost what is beyond the cheapest.
	arcs := make([][]plant.Seconds, len(families)+1)
	for i := range arcs {
		arcs[i] = make([]plant.Seconds, len(families)+1)
	}
	var sum, most plant.Seconds
	for k, f := range families {
		root, into := plant.Seconds(plant.Never), plant.Seconds(plant.Never)
		for _, a := range g.stands {
			root = min(root, cost(a, f))
		}
		for _, a := range families {
			into = min(into, cost(a, f))
		}
		into = min(into, root)
		sum += plant.Seconds(turns[f]) * into
		arcs[0][k+1] = root - into
		for j, a := range families {
			arcs[j+1][k+1] = cost(a, f) - into
			most = max(most, arcs[j+1][k+1])
		}
	}
	return sum + spanning(arcs, len(g.stands), most)
}

// spanning bounds the cost of a tree from node 0 in which at most so many arcs leave it: each costs a price besides, which is given
// back for as many as may be (Fisher, "The Lagrangian relaxation method for solving integer programming problems", 1981). The
// best price is found by halving, as the bound is concave in it.
func spanning(arcs [][]plant.Seconds, leaving int, most plant.Seconds) plant.Seconds {
	if len(arcs)-1 <= leaving {
		return arborescence(arcs)
	}
	dear := make([][]plant.Seconds, len(arcs))
	copy(dear, arcs)
	at := func(price plant.Seconds) plant.Seconds {
		dear[0] = make([]plant.Seconds, len(arcs))
		for k := range dear[0] {
			dear[0][k] = arcs[0][k] + price
		}
		return arborescence(dear) - price*plant.Seconds(leaving)
	}
	low, high := plant.Seconds(0), most+1
	for low < high {
		mid := (low + high) / 2
		if at(mid+1) > at(mid) {
			low = mid + 1
		} else {
			high = mid
		}
	}
	return max(at(low), arborescence(arcs))
}

// arborescence gives the cost of the cheapest tree from node 0 to all others; arcs[a][b] >= 0 is the cost from a to b.
func arborescence(arcs [][]plant.Seconds) plant.Seconds {
	n := len(arcs)
	if n <= 1 {
		return 0
	}
	from, least := make([]int, n), make([]plant.Seconds, n)
	var sum plant.Seconds
	for b := 1; b < n; b++ {
		from[b] = -1
		for a := range n {
			if a != b && (from[b] < 0 || arcs[a][b] < least[b]) {
				from[b], least[b] = a, arcs[a][b]
			}
		}
		sum += least[b]
	}
	node, circles := contract(from)
	if !circles {
		return sum
	}
	m := 0
	for _, c := range node {
		m = max(m, c+1)
	}
	small := make([][]plant.Seconds, m)
	for i := range small {
		small[i] = make([]plant.Seconds, m)
		for j := range small[i] {
			small[i][j] = plant.Seconds(plant.Never)
		}
	}
	for a := range n {
		for b := 1; b < n; b++ {
			if node[a] != node[b] {
				small[node[a]][node[b]] = min(small[node[a]][node[b]], arcs[a][b]-least[b])
			}
		}
	}
	return sum + arborescence(small)
}

// contract numbers the nodes anew, those of a circle of from alike, the root 0.
func contract(from []int) (node []int, circles bool) {
	n := len(from)
	node = make([]int, n)
	seen := make([]int, n) // the walk in which a node was met
	for i := range node {
		node[i] = -1
	}
	node[0] = 0
	next := 1
	for i := 1; i < n; i++ {
		x := i
		for x != 0 && seen[x] == 0 && node[x] < 0 {
			seen[x] = i
			x = from[x]
		}
		if x != 0 && node[x] < 0 && seen[x] == i { // a new circle
			circles = true
			for y := x; node[y] < 0; y = from[y] {
				node[y] = next
			}
			next++
		}
		for y := i; y != 0 && node[y] < 0 && seen[y] == i; y = from[y] {
			node[y] = next
			next++
		}
	}
	return node, circles
}
