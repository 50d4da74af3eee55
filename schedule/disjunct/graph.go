package disjunct

import (
	"slices"

	"tackline/schedule/precedence"
)

// none stands for no operation: inside, operations are numbered from 1, so that what "none" ends at and leaves behind it is 0
// in every table and no loop has to ask.
const none = int32(0)

// graph is an instance laid flat for the inner loop.
type graph struct {
	in       *Instance
	n, m     int
	optAt    []int32 // options of operation o are opt[optAt[o]:optAt[o+1]]
	opt      []option
	pred     []int32 // the first of those it waits for, or none
	succ     []int32 // the first of those that wait for it, or none
	preAt    []int32
	pre      []int32
	sucAt    []int32
	suc      []int32
	chains   bool // each operation waits for one at most, and one at most for it
	flexible bool
	zeros    bool    // some operation takes no time: equal ways may then hide a circle
	topo     []int32 // by precedence alone
}

type option struct{ machine, time int32 }

func newGraph(in *Instance) *graph {
	n := len(in.Options)
	g := &graph{in: in, n: n, m: in.Machines, optAt: make([]int32, 2, n+2), preAt: make([]int32, 2, n+2), sucAt: make([]int32, 2, n+2),
		pred: make([]int32, n+1), succ: make([]int32, n+1), chains: true}
	for o := range in.Options {
		for _, x := range in.Options[o] {
			g.opt = append(g.opt, option{int32(x.Machine), int32(x.Time)})
			g.zeros = g.zeros || x.Time == 0
		}
		g.flexible = g.flexible || len(in.Options[o]) > 1
		g.optAt = append(g.optAt, int32(len(g.opt)))
		for _, b := range in.After[o] {
			g.pre = append(g.pre, int32(b+1))
			g.pred[o+1] = int32(in.After[o][0] + 1)
		}
		g.chains = g.chains && len(in.After[o]) < 2
		g.preAt = append(g.preAt, int32(len(g.pre)))
	}
	for o, list := range precedence.Next(in.After) {
		if len(list) > 0 {
			g.succ[o+1] = int32(list[0] + 1)
		}
		g.chains = g.chains && len(list) < 2
		for _, x := range list {
			g.suc = append(g.suc, int32(x+1))
		}
		g.sucAt = append(g.sucAt, int32(len(g.suc)))
	}
	for _, o := range precedence.Order(in.After) {
		g.topo = append(g.topo, int32(o+1))
	}
	return g
}

func (g *graph) pres(o int32) []int32     { return g.pre[g.preAt[o]:g.preAt[o+1]] }
func (g *graph) sucs(o int32) []int32     { return g.suc[g.sucAt[o]:g.sucAt[o+1]] }
func (g *graph) options(o int32) []option { return g.opt[g.optAt[o]:g.optAt[o+1]] }

// follows says whether x waits for o.
func (g *graph) follows(x, o int32) bool {
	return g.succ[o] == x || !g.chains && slices.Contains(g.sucs(o), x)
}
