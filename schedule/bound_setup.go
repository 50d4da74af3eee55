package schedule

import (
	"math"

	"tackline/plant"
)

// leastSetup gives setup work that no complete plan does without: the own setups, for batches those of the fewest, and the
// changeovers. Every turn of a family costs at least the cheapest changeover into it. Beyond that, each family that a group
// of stations needs is entered a first time, from one that stands there at the begin or was entered before: these entries
// make a tree with its roots in what stands there, and none is cheaper than the cheapest (Chu and Liu, "On the shortest
// arborescence of a directed graph", 1965; Edmonds, "Optimum branchings", 1967).
func leastSetup(p *Problem) plant.Seconds {
	g := stationGroups(p)
	groups := make([]setupGroup, len(g.size))
	for s := range p.Stations {
		groups[g.of[s]].stations = append(groups[g.of[s]].stations, s)
	}
	for i := range p.Ops {
		o := &p.Ops[i]
		switch {
		case o.State == ToPlan && len(o.Can) > 0:
			groups[g.of[o.Can[0].Station]].add(p, o)
		case o.State != ToPlan && o.Family > 0 && o.Fixed.Station >= 0 && o.Fixed.Station < len(g.of):
			x := &groups[g.of[o.Fixed.Station]]
			x.stands = append(x.stands, o.Family)
		}
	}
	var sum plant.Seconds
	for i := range groups {
		sum += groups[i].least(p)
	}
	return sum
}

// setupGroup is a group of stations with the setups that it needs.
type setupGroup struct {
	stations []int
	stands   []int // families of fixed work
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
	size  float64 // summed
	share float64 // seconds of setup times size
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
	standing := map[int]bool{}
	for _, f := range g.stands {
		standing[f] = true
	}
	centres := map[int]bool{}
	for _, s := range g.stations {
		standing[p.Stations[s].Family] = true
		centres[p.Stations[s].Centre] = true
	}
	cost := func(a, b int) plant.Seconds {
		least := plant.Seconds(plant.Never)
		for c := range centres {
			least = min(least, changeover(p.Centres[c].Changeover, a, b))
		}
		return least
	}
	var sum plant.Seconds
	var first []int // families that are entered a first time
	for f := range turns {
		if !standing[f] {
			first = append(first, f)
		}
	}
	into := map[int]plant.Seconds{} // cheapest changeover into a family
	for f, n := range turns {
		least := plant.Seconds(plant.Never)
		for a := range turns {
			least = min(least, cost(a, f))
		}
		for a := range standing {
			least = min(least, cost(a, f))
		}
		into[f] = least
		sum += plant.Seconds(n) * least
	}
	// Node 0 stands for what stands there, node k for the first entry of first[k-1]; costs are beyond the cheapest.
	arcs := make([][]plant.Seconds, len(first)+1)
	for i := range arcs {
		arcs[i] = make([]plant.Seconds, len(first)+1)
	}
	for k, f := range first {
		arcs[0][k+1] = plant.Seconds(plant.Never)
		for a := range standing {
			arcs[0][k+1] = min(arcs[0][k+1], cost(a, f)-into[f])
		}
		for j, a := range first {
			arcs[j+1][k+1] = cost(a, f) - into[f]
		}
		for a := range turns { // a family that stands somewhere may be entered anew elsewhere
			if standing[a] {
				arcs[0][k+1] = min(arcs[0][k+1], cost(a, f)-into[f])
			}
		}
	}
	return sum + arborescence(arcs)
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
