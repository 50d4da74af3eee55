package search

import (
	"slices"

	"tackline/plant"
)

// profile is what is free of something over time, as a step function: heads of a crew pool, places of a rack, pallets of a
// station. Its steps are kept in chunks that know their least and largest value, so that a search steps over whole chunks
// and an insertion moves few steps.
type profile struct {
	first  []plant.Time // begin of each chunk
	chunks []*chunk
	spare  []*chunk
}

const chunkSize = 64

type chunk struct {
	n         int
	low, high int64
	at        [chunkSize]plant.Time
	free      [chunkSize]int64
}

// set makes p the step function given by at and free; at[0] is the begin of time.
func (p *profile) set(at []plant.Time, free []int64) {
	p.spare = append(p.spare, p.chunks...)
	p.first, p.chunks = p.first[:0], p.chunks[:0]
	for i := 0; i < len(at); i += chunkSize / 2 {
		c := p.fresh()
		c.n = copy(c.at[:chunkSize/2], at[i:])
		copy(c.free[:], free[i:i+c.n])
		c.measure()
		p.first = append(p.first, at[i])
		p.chunks = append(p.chunks, c)
	}
}

func (p *profile) fresh() *chunk {
	if n := len(p.spare); n > 0 {
		c := p.spare[n-1]
		p.spare = p.spare[:n-1]
		return c
	}
	return new(chunk)
}

func (c *chunk) measure() {
	c.low, c.high = c.free[0], c.free[0]
	for _, f := range c.free[1:c.n] {
		c.low, c.high = min(c.low, f), max(c.high, f)
	}
}

// find gives the chunk and the step that hold t, the first if t is before the begin of time.
func (p *profile) find(t plant.Time) (int, int) {
	k := max(0, upTo(p.first, t)-1)
	c := p.chunks[k]
	return k, max(0, upTo(c.at[:c.n], t)-1)
}

// upTo counts the instants at or before t. It is written out because it is where a search spends its time.
func upTo(at []plant.Time, t plant.Time) int {
	lo, hi := 0, len(at)
	for lo < hi {
		if mid := int(uint(lo+hi) >> 1); at[mid] <= t {
			lo = mid + 1
		} else {
			hi = mid
		}
	}
	return lo
}

// clear looks whether need is free all through [from, to). If not, it gives the instant at which it is free again after
// the last time it is not: nothing that begins before that instant and lasts as long can fit.
func (p *profile) clear(from, to plant.Time, need int64) (again plant.Time, ok bool) {
	if to <= from || need <= 0 {
		return 0, true
	}
	k, i := p.find(to - 1)
	for {
		c := p.chunks[k]
		if c.low >= need {
			i = 0
		}
		for ; i >= 0; i-- {
			if c.free[i] < need {
				return p.again(k, i, need), false
			}
			if c.at[i] <= from {
				return 0, true
			}
		}
		if k == 0 {
			return 0, true
		}
		k--
		i = p.chunks[k].n - 1
	}
}

// again gives the first instant after step i of chunk k at which need is free.
func (p *profile) again(k, i int, need int64) plant.Time {
	for i++; k < len(p.chunks); k, i = k+1, 0 {
		c := p.chunks[k]
		if c.high < need {
			continue
		}
		for ; i < c.n; i++ {
			if c.free[i] >= need {
				return c.at[i]
			}
		}
	}
	return plant.Never
}

// take takes n away all through [from, to); a negative n gives it back. What is taken and given back leaves no trace.
func (p *profile) take(from, to plant.Time, n int64) {
	from = max(from, p.first[0])
	if to <= from || n == 0 {
		return
	}
	k, i := p.find(from)
	if p.chunks[k].at[i] < from {
		k, i = p.cut(k, i, from)
	}
	begin, at := k, i
	for {
		c := p.chunks[k]
		if i == 0 && k+1 < len(p.chunks) && p.first[k+1] <= to {
			for j := range c.free[:c.n] {
				c.free[j] -= n
			}
			c.low, c.high = c.low-n, c.high-n
		} else {
			j := i
			for j < c.n && c.at[j] < to {
				j++
			}
			if p.ends(k, j-1) > to {
				first, before := c.at[i], c.n
				p.cut(k, j-1, to)
				if c.n < before { // the chunk was cut in two: its steps are elsewhere now
					p.lower(first, to, n)
					break
				}
			}
			c.lower(i, j, n)
			if j < c.n {
				p.join(k, j)
				break
			}
		}
		if k, i = k+1, 0; k == len(p.chunks) || p.first[k] >= to {
			if k < len(p.chunks) {
				p.join(k, 0)
			}
			break
		}
	}
	if begin < len(p.chunks) && at < p.chunks[begin].n && p.chunks[begin].at[at] == from {
		p.join(begin, at)
	}
}

// ends gives the end of a step.
func (p *profile) ends(k, i int) plant.Time {
	if c := p.chunks[k]; i+1 < c.n {
		return c.at[i+1]
	}
	if k+1 < len(p.chunks) {
		return p.first[k+1]
	}
	return plant.Never
}

// lower takes n away from the steps i to j-1.
func (c *chunk) lower(i, j int, n int64) {
	fresh := false
	for x := i; x < j; x++ {
		fresh = fresh || c.free[x] == c.low || c.free[x] == c.high
		c.free[x] -= n
		c.low, c.high = min(c.low, c.free[x]), max(c.high, c.free[x])
	}
	if fresh {
		c.measure()
	}
}

// lower takes n away from the steps from from to to, which begin and end there, looking them up.
func (p *profile) lower(from, to plant.Time, n int64) {
	for k, i := p.find(from); k < len(p.chunks) && p.first[k] < to; k, i = k+1, 0 {
		c := p.chunks[k]
		j := i
		for j < c.n && c.at[j] < to {
			j++
		}
		c.lower(i, j, n)
	}
}

// cut makes a step begin at t, inside step i of chunk k, and gives its place.
func (p *profile) cut(k, i int, t plant.Time) (int, int) {
	c := p.chunks[k]
	if c.n == chunkSize {
		half := p.fresh()
		half.n = copy(half.at[:], c.at[chunkSize/2:])
		copy(half.free[:], c.free[chunkSize/2:])
		c.n = chunkSize / 2
		c.measure()
		half.measure()
		p.first = slices.Insert(p.first, k+1, half.at[0])
		p.chunks = slices.Insert(p.chunks, k+1, half)
		if i >= chunkSize/2 {
			c, k, i = half, k+1, i-chunkSize/2
		}
	}
	copy(c.at[i+2:c.n+1], c.at[i+1:c.n])
	copy(c.free[i+2:c.n+1], c.free[i+1:c.n])
	c.at[i+1], c.free[i+1] = t, c.free[i]
	c.n++
	return k, i + 1
}

// join takes away step i of chunk k if the one before it is equal.
func (p *profile) join(k, i int) {
	c := p.chunks[k]
	switch {
	case k == 0 && i == 0:
		return
	case i == 0:
		if before := p.chunks[k-1]; before.free[before.n-1] != c.free[0] {
			return
		}
	case c.free[i-1] != c.free[i]:
		return
	}
	copy(c.at[i:], c.at[i+1:c.n])
	copy(c.free[i:], c.free[i+1:c.n])
	c.n--
	if c.n == 0 {
		p.drop(k)
		return
	}
	p.first[k] = c.at[0]
	if k > 0 && p.chunks[k-1].n+c.n <= chunkSize/2 {
		p.merge(k)
	}
}

func (p *profile) drop(k int) {
	p.spare = append(p.spare, p.chunks[k])
	p.first = slices.Delete(p.first, k, k+1)
	p.chunks = slices.Delete(p.chunks, k, k+1)
}

// merge moves the steps of chunk k to the end of the one before it.
func (p *profile) merge(k int) {
	a, b := p.chunks[k-1], p.chunks[k]
	copy(a.at[a.n:], b.at[:b.n])
	copy(a.free[a.n:], b.free[:b.n])
	a.n += b.n
	a.low, a.high = min(a.low, b.low), max(a.high, b.high)
	p.drop(k)
}
