package setout

import (
	"tackline/plant"
	"tackline/schedule"
)

// anyFamily stands for every family in the setups table.
const anyFamily = "*"

// pair is an entry of the setups table.
type pair struct{ from, to plant.Family }

// changeovers fills the matrix of each work centre over the families in use. A family that the work centre never meets as
// the one before shares one row with all such families; it is never read.
func (b *builder) changeovers() {
	before := make([]map[int]bool, len(b.p.Centres))
	for i := range before {
		before[i] = map[int]bool{}
	}
	for _, s := range b.p.Stations {
		before[s.Centre][s.Family] = true
	}
	for i := range b.p.Ops {
		if c, ok := b.centres[b.r.Ops[i].Centre]; ok {
			before[c][b.p.Ops[i].Family] = true
		}
	}
	for i, c := range b.ix.Book.Centres {
		m := matrix{rows: map[pair]plant.Seconds{}, other: plant.MinutesToSeconds(c.Setup)}
		for _, s := range b.ix.SetupsOf[c.ID] {
			if _, twice := m.rows[pair{s.From, s.To}]; !twice {
				m.rows[pair{s.From, s.To}] = plant.MinutesToSeconds(s.Minutes)
			}
		}
		if takes := takes[c.Takes]; takes == schedule.Places || takes == schedule.NoLimit || len(m.rows) == 0 && m.other == 0 {
			continue
		}
		b.p.Centres[i].Changeover = m.over(b.p.Families, before[i])
	}
}

// matrix is the changeover matrix of one work centre as its rows give it.
type matrix struct {
	rows  map[pair]plant.Seconds
	other plant.Seconds // between different families without a row
}

func (m *matrix) over(families []plant.Family, before map[int]bool) [][]plant.Seconds {
	none := make([]plant.Seconds, len(families))
	out := make([][]plant.Seconds, len(families))
	for i, from := range families {
		out[i] = none
		if i == 0 || !before[i] {
			continue
		}
		out[i] = make([]plant.Seconds, len(families))
		for j, to := range families {
			if j > 0 {
				out[i][j] = m.between(from, to)
			}
		}
	}
	return out
}

// between gives the changeover between two families; see the package comment.
func (m *matrix) between(from, to plant.Family) plant.Seconds {
	if d, ok := m.rows[pair{from, to}]; ok {
		return d
	}
	if from == to {
		return 0
	}
	for _, p := range []pair{{from, anyFamily}, {anyFamily, to}, {anyFamily, anyFamily}} {
		if d, ok := m.rows[p]; ok {
			return d
		}
	}
	return m.other
}
