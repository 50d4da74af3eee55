package scheduletest

import (
	"pgregory.net/rapid"

	"tackline/schedule"
)

// Shape says how big a problem is and which features it has. Make turns it into a problem.
type Shape struct {
	Seed        uint64
	Ops         int  // number of operations, 1 or more
	Days        int  // horizon in days
	OneStation  bool // a single station does everything
	NoNightCrew bool // stations are open day and night, crews are there in the day only
	TwoPlants   bool // a second plant in another time zone feeds the first by truck
	BatchOfOne  bool // batch stations hold a single piece
	Crews       bool // operations need people
	Setups      bool // families with an asymmetric changeover matrix
	Pallets     bool // some stations load beside the running piece
	Batches     bool // blast and paint in batches
	Places      bool // drying racks
	Away        bool // work at subcontractors
	Overlap     bool // lots passed on before the operation is done
	Zero        bool // operations that take no time
	Fixed       bool // done, running and frozen work, and an adopted plan
	Material    bool // earliest times: material and holds
	Shared      bool // jobs made for several units
}

// Full has every feature.
func Full(seed uint64, ops int) Shape {
	return Shape{Seed: seed, Ops: ops, Days: 400, TwoPlants: true, Crews: true, Setups: true, Pallets: true, Batches: true,
		Places: true, Away: true, Overlap: true, Zero: true, Fixed: true, Material: true, Shared: true, NoNightCrew: seed%2 == 1}
}

// Generate makes a problem of n operations with every feature, for n from 1 to 100,000 and more.
func Generate(seed uint64, n int) *schedule.Problem { return Make(Full(seed, n)) }

// Plant draws a small problem, up to 40 operations, of any features. It shrinks towards few operations and no features.
func Plant(t *rapid.T) *schedule.Problem { return Make(DrawShape(t, 40)) }

// DrawShape draws a Shape of at most most operations.
func DrawShape(t *rapid.T, most int) Shape {
	flag := func(name string) bool { return rapid.Bool().Draw(t, name) }
	return Shape{
		Ops:         rapid.IntRange(1, most).Draw(t, "ops"),
		Seed:        rapid.Uint64Range(0, 1<<20).Draw(t, "seed"),
		Days:        rapid.SampledFrom([]int{120, 400}).Draw(t, "days"),
		OneStation:  rapid.IntRange(0, 5).Draw(t, "one station") == 5,
		NoNightCrew: flag("no night crew"),
		TwoPlants:   flag("two plants"),
		BatchOfOne:  flag("batch of one"),
		Crews:       flag("crews"),
		Setups:      flag("setups"),
		Pallets:     flag("pallets"),
		Batches:     flag("batches"),
		Places:      flag("places"),
		Away:        flag("away"),
		Overlap:     flag("overlap"),
		Zero:        flag("zero"),
		Fixed:       flag("fixed"),
		Material:    flag("material"),
		Shared:      flag("shared"),
	}
}

// dice is the splitmix64 generator of Steele, Lea and Flood, "Fast splittable pseudorandom number generators", 2014.
type dice struct{ state uint64 }

func (d *dice) next() uint64 {
	d.state += 0x9e3779b97f4a7c15
	z := d.state
	z = (z ^ (z >> 30)) * 0xbf58476d1ce4e5b9
	z = (z ^ (z >> 27)) * 0x94d049bb133111eb
	return z ^ (z >> 31)
}

// below gives a number from 0 to n-1.
func (d *dice) below(n int) int { return int(d.next() % uint64(n)) }

// between gives a number from a to b.
func (d *dice) between(a, b int) int { return a + d.below(b-a+1) }

// chance is true in percent of 100 cases.
func (d *dice) chance(percent int) bool { return d.below(100) < percent }
