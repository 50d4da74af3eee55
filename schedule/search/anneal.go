package search

import (
	"fmt"
	"math"
	"slices"
	"sync"
	"time"
)

// The chains of all workers go on side by side. So many times in a search they wait for each other; the one that has
// got least far then goes on from the best plan.
const meetings = 24

// heatSteps is the number of changes, all refused unless cheaper, that the first temperature is measured on.
const heatSteps = 200

// improve lets the workers improve the best plan until the work or the time is used up. The temperature falls
// geometrically (Kirkpatrick, Gelatt and Vecchi 1983) from one and a half times the median of what refused changes cost to
// a hundredth of that.
func (r *runner) improve() {
	chains := make([]*chain, len(r.states))
	r.each(func(k int) {
		chains[k] = newChain(r.states[k], r.best.slots, mix(r.opt.Seed+uint64(k)*0x9e3779b97f4a7c15))
		if chains[k].strict = r.repairs; !r.repairs {
			chains[k].measureHeat()
		}
	})
	r.chains = chains
	r.from = r.progress()
	for n := 1; n <= meetings && r.more(); n++ {
		r.stretch(n)
		r.meet(n)
	}
}

// each does something for all workers at once.
func (r *runner) each(do func(k int)) {
	var wg sync.WaitGroup
	for k := range r.states {
		wg.Go(func() { do(k) })
	}
	wg.Wait()
}

// stretch lets all chains go on to meeting n.
func (r *runner) stretch(n int) {
	until := r.from + (1-r.from)*float64(n)/meetings
	share := int64(0) // work of each chain in this stretch
	if r.opt.Work > 0 {
		share = max(1, (int64(until*float64(r.opt.Work))-r.work)/int64(len(r.chains)))
	}
	done := make([]int64, len(r.chains))
	r.each(func(k int) { done[k] = r.advance(k, until, share) })
	for _, w := range done {
		r.work += w
	}
}

// advance lets chain k go on until its share of the work is done, or the time is until, and gives the work done.
func (r *runner) advance(k int, until float64, share int64) int64 {
	c := r.chains[k]
	begin := c.s.placed
	told := time.Now()
	for i := 0; ; i++ {
		work := c.s.placed - begin
		now := time.Now()
		f := r.elapsedAt(now)
		if k == 0 && now.Sub(told) > tellEvery {
			told = now
			r.tell(r.work+work*int64(len(r.chains)), min(c.best, r.best.cost.money))
		}
		if share > 0 {
			if work >= share || i > 50*int(share)+1000 {
				return work
			}
			f = max(f, float64(r.work+work*int64(len(r.chains)))/float64(r.opt.Work))
		} else if f >= until {
			return work
		}
		if f >= 1 || i%16 == 0 && r.timed.Err() != nil {
			return work
		}
		_, part := math.Modf((f - r.from) / (1 - r.from) * r.cycles())
		c.cool(part)
		c.step()
	}
}

// cycleWork is the work, for each operation, above which a search heats its chains up again, and mostCycles how often.
const (
	cycleWork  = 1000
	mostCycles = 8
)

// cycles gives the number of times that the temperature falls: in small plants a second fall finds more than a slower one.
func (r *runner) cycles() float64 {
	n := len(r.m.kinOps.all)
	switch {
	case r.opt.Work > 0:
		return float64(min(mostCycles, max(1, r.opt.Work/int64(len(r.chains)*max(1, n)*cycleWork))))
	case n <= smallPlant:
		return mostCycles
	}
	return 1
}

// meet keeps the best plan of all chains, and lets the dearest go on from it.
func (r *runner) meet(n int) {
	best, worst := 0, 0
	for k, c := range r.chains {
		if c.best < r.chains[best].best {
			best = k
		}
		if c.s.money >= r.chains[worst].s.money {
			worst = k
		}
	}
	c := r.chains[best]
	if c.best < r.best.cost.money-0.01 {
		keep := *r.best
		keep.slots, keep.cost.money = slices.Clone(c.slots), c.best
		keep.name = "taking work out of the best first plan and putting it back better"
		r.best = &keep
	}
	if worst != best && n < meetings {
		r.chains[worst].begin(c.slots)
	}
	r.tell(r.work, r.best.cost.money)
}

// tellEvery is how often the search tells how far it is.
const tellEvery = 100 * time.Millisecond

// tell tells how far the search is. While chains go on, only the first one calls it.
func (r *runner) tell(work int64, best float64) {
	if r.opt.Progress == nil {
		return
	}
	done := r.elapsedAt(time.Now())
	if r.opt.Work > 0 {
		done = max(done, float64(work)/float64(r.opt.Work))
	}
	r.opt.Progress(min(1, done), fmt.Sprintf("change %d: cost %.0f", r.chains[0].steps*len(r.chains), best/100))
}

// steps counts the changes tried.
func (r *runner) steps() (n int) {
	for _, c := range r.chains {
		n += c.steps
	}
	return n
}

// progress is the part of the work or of the time that is used up.
func (r *runner) progress() float64 {
	f := r.elapsedAt(time.Now())
	if r.opt.Work > 0 {
		f = max(f, float64(r.work)/float64(r.opt.Work))
	}
	return min(1, f)
}

// elapsedAt is the part of the time allowed that is over at an instant.
func (r *runner) elapsedAt(now time.Time) float64 {
	if r.opt.Seconds <= 0 {
		return 0
	}
	return min(1, max(0, 1-r.end.Sub(now).Seconds()/r.opt.Seconds))
}

// measureHeat sets the first temperature.
func (c *chain) measureHeat() {
	var ups []float64
	c.watch = &ups
	for range heatSteps {
		c.step()
	}
	c.watch = nil
	slices.Sort(ups)
	c.hot = 1
	if len(ups) > 0 {
		c.hot = 1.5 * ups[len(ups)/2]
	}
}
