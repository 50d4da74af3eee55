package search

// kin numbers the operations that belong to one unit; a job for stock or for several units is its own kin.
func (m *model) addKin() {
	m.kin = make([]int32, len(m.ops))
	number := make(map[int]int32)
	n := int32(0)
	for o := range m.ops {
		j := m.p.Ops[o].Job
		k := m.p.Jobs[j].Unit
		if k < 0 || k >= len(m.p.Units) {
			k = len(m.p.Units) + j
		}
		x, ok := number[k]
		if !ok {
			x = n
			number[k] = n
			n++
		}
		m.kin[o] = x
	}
	m.kinOps = listBy(int(n), len(m.ops), func(o int) (int, bool) { return int(m.kin[o]), !m.ops[o].fixed })
	m.jobOps = listBy(len(m.p.Jobs), len(m.ops), func(o int) (int, bool) { return m.p.Ops[o].Job, !m.ops[o].fixed })
}

// listBy lists items by a number from 0 to n-1, for those that have one.
func listBy(n, items int, of func(int) (int, bool)) fan {
	f := fan{at: make([]int32, n+1)}
	for i := range items {
		if k, ok := of(i); ok {
			f.at[k+1]++
		}
	}
	for k := range n {
		f.at[k+1] += f.at[k]
	}
	next := append([]int32(nil), f.at...)
	f.all = make([]int32, f.at[n])
	for i := range items {
		if k, ok := of(i); ok {
			f.all[next[k]] = int32(i)
			next[k]++
		}
	}
	return f
}
