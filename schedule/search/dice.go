package search

// dice is the splitmix64 generator; Steele, Lea and Flood, "Fast splittable pseudorandom number generators", 2014.
type dice struct{ state uint64 }

func (d *dice) next() uint64 {
	d.state += 0x9e3779b97f4a7c15
	return mix(d.state)
}

// unit gives a number from 0 to 1.
func (d *dice) unit() float64 { return float64(d.next()>>11) / (1 << 53) }

func mix(z uint64) uint64 {
	z += 0x9e3779b97f4a7c15
	z = (z ^ (z >> 30)) * 0xbf58476d1ce4e5b9
	z = (z ^ (z >> 27)) * 0x94d049bb133111eb
	return z ^ (z >> 31)
}
