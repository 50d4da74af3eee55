package estimate

import (
	"fmt"
	"math"
)

// Directions of a cylinder.
const (
	Out = "out" // extends; pressure on the bore side
	In  = "in"  // retracts; pressure on the rod side
)

func pressureLimit(bar float64) limit {
	return limit{name: "the pressure", x: bar, unit: "bar", lo: 0, hi: 1000}
}

func flowLimit(q float64) limit {
	return limit{name: "the flow", x: q, unit: "l/min", lo: 0.01, hi: 5000}
}

// PistonArea gives the area in mm2 that the oil presses on: pi/4 D^2 out, pi/4 (D^2 - d^2) in. Ranges: bore D 5 to 1000 mm, rod d
// above 0 and less than the bore. Source: geometry.
func PistonArea(bore, rod float64, direction string) (float64, error) {
	if err := check(limit{name: "the bore", x: bore, unit: "mm", lo: 5, hi: 1000},
		limit{name: "the rod", x: rod, unit: "mm", lo: 1, hi: bore * 0.99, because: "the rod must be thinner than the bore"}); err != nil {
		return 0, err
	}
	switch direction {
	case Out:
		return math.Pi / 4 * bore * bore, nil
	case In:
		return math.Pi / 4 * (bore*bore - rod*rod), nil
	}
	return 0, fmt.Errorf("the direction is %q; expected out or in", direction)
}

// CylinderForce gives the force in kN of a cylinder without friction and back pressure: p A / 10^4, p in bar, A in mm2.
// Ranges: as PistonArea; 0 to 1000 bar. Source: Esposito, Fluid Power with Applications, ch. 6.
func CylinderForce(bore, rod, bar float64, direction string) (float64, error) {
	a, err := PistonArea(bore, rod, direction)
	if err != nil {
		return 0, err
	}
	if err := check(pressureLimit(bar)); err != nil {
		return 0, err
	}
	return bar * a / 1e4, nil
}

// CylinderSpeed gives the speed in mm/s: Q x 10^6 / (60 A), Q in l/min. Ranges: as PistonArea; 0.01 to 5000 l/min. Source:
// Esposito, ch. 6.
func CylinderSpeed(bore, rod, flow float64, direction string) (float64, error) {
	a, err := PistonArea(bore, rod, direction)
	if err != nil {
		return 0, err
	}
	if err := check(flowLimit(flow)); err != nil {
		return 0, err
	}
	return flow * 1e6 / 60 / a, nil
}

// CylinderVolume gives litres of oil for a stroke in mm: A s / 10^6. Ranges: as PistonArea; stroke 0 to 20000 mm. Source:
// geometry.
func CylinderVolume(bore, rod, stroke float64, direction string) (float64, error) {
	a, err := PistonArea(bore, rod, direction)
	if err != nil {
		return 0, err
	}
	if err := check(lengthLimit("the stroke", stroke)); err != nil {
		return 0, err
	}
	return a * stroke / 1e6, nil
}

// ThrowSeconds gives seconds for a stroke: volume / flow. Ranges: as CylinderVolume and CylinderSpeed. Source: as
// CylinderSpeed.
func ThrowSeconds(bore, rod, stroke, flow float64, direction string) (float64, error) {
	v, err := CylinderVolume(bore, rod, stroke, direction)
	if err != nil {
		return 0, err
	}
	if err := check(flowLimit(flow)); err != nil {
		return 0, err
	}
	return 60 * v / flow, nil
}

// Regeneration gives force in kN and speed in mm/s of a cylinder that extends with both ports joined: p A_rod / 10^4 and
// Q x 10^6 / (60 A_rod). Ranges: as CylinderForce and CylinderSpeed. Source: Esposito, ch. 9.
func Regeneration(bore, rod, bar, flow float64) (force, speed float64, err error) {
	if _, err := PistonArea(bore, rod, Out); err != nil {
		return 0, 0, err
	}
	if err := check(pressureLimit(bar), flowLimit(flow)); err != nil {
		return 0, 0, err
	}
	a := math.Pi / 4 * rod * rod
	return bar * a / 1e4, flow * 1e6 / 60 / a, nil
}

// Intensified gives the pressure in bar that builds up on a shut rod side when the bore side has a pressure: p A / A_ring. A
// proof test with the rod port shut overloads the tube. Ranges: as CylinderForce. Source: balance of forces; ISO 4413 asks for
// protection against it.
func Intensified(bore, rod, bar float64) (float64, error) {
	out, err := PistonArea(bore, rod, Out)
	if err != nil {
		return 0, err
	}
	if err := check(pressureLimit(bar)); err != nil {
		return 0, err
	}
	in, _ := PistonArea(bore, rod, In)
	return bar * out / in, nil
}

// PumpPower gives the power in kW at the shaft of a pump: p Q / (600 efficiency), p in bar, Q in l/min. Ranges: 0 to 1000 bar,
// 0.01 to 5000 l/min, efficiency 10 to 100 % (85 % overall is common practice). Source: Esposito, ch. 5.
func PumpPower(bar, flow, efficiency float64) (float64, error) {
	if err := check(pressureLimit(bar), flowLimit(flow),
		limit{name: "the efficiency", x: efficiency * 100, unit: "%", lo: 10, hi: 100}); err != nil {
		return 0, err
	}
	return bar * flow / 600 / efficiency, nil
}

// TubeStress holds the stresses in MPa of a tube with pressure inside.
type TubeStress struct {
	Inner    float64 // hoop stress at the bore, Lame
	Outer    float64 // hoop stress at the outside, Lame
	Axial    float64 // along the tube, ends closed
	VonMises float64 // at the bore, ends closed
	Barlow   float64 // p D / 2t on the outside diameter; above Inner for every wall
	ThinBore float64 // p d / 2t on the bore: lower than Inner, so not safe for a thick wall; shown to be recognised
}

// Tube gives the stresses of a tube with closed ends. Lame: inner p (ro^2+ri^2)/(ro^2-ri^2), outer 2 p ri^2/(ro^2-ri^2), axial
// half of that; von Mises at the bore from hoop, axial and -p. Ranges: bore 1 to 2000 mm, outside above the bore up to 3000
// mm, 0 to 1000 bar. Source: Timoshenko, Strength of Materials, part II (Lame); Barlow's formula.
func Tube(bore, outside, bar float64) (TubeStress, error) {
	if err := check(limit{name: "the bore", x: bore, unit: "mm", lo: 1, hi: 2000},
		limit{name: "the outside diameter", x: outside, unit: "mm", lo: bore * 1.001, hi: 3000, because: "it must be larger than the bore"},
		pressureLimit(bar)); err != nil {
		return TubeStress{}, err
	}
	p := bar / 10
	i2, o2 := bore*bore, outside*outside
	s := TubeStress{Inner: p * (o2 + i2) / (o2 - i2), Outer: 2 * p * i2 / (o2 - i2), Axial: p * i2 / (o2 - i2)}
	s.VonMises = math.Sqrt((sq(s.Inner-s.Axial) + sq(s.Axial+p) + sq(s.Inner+p)) / 2)
	s.Barlow = p * outside / (outside - bore)
	s.ThinBore = p * bore / (outside - bore)
	return s, nil
}

func sq(x float64) float64 { return x * x }

// SteelModulus is the modulus of elasticity of steel in MPa used for buckling.
const SteelModulus = 206000

// Buckling is the load at which a rod buckles.
type Buckling struct {
	Load        float64 // kN: the lower of the two that apply
	Euler       float64 // kN; holds only above the slenderness Limit
	Slenderness float64 // K L / (d/4)
	Limit       float64 // sqrt(2 pi^2 E / Sy): below it Johnson governs
	Johnson     bool    // Johnson governs
}

// RodBuckling gives the buckling load of a solid round rod of diameter d, length L in mm, end factor K (free-fixed 2, pinned at
// both ends 1, pinned-fixed 0.7, fixed at both ends 0.5) and yield strength in MPa. Euler: pi^2 E I/(K L)^2. Johnson for short
// rods: A (Sy - (Sy slenderness / 2 pi)^2 / E). Ranges: d 5 to 500 mm, L 10 to 20000 mm, K 0.5 to 2, Sy 100 to 1500 MPa. Without a
// safety factor. Source: Shigley, Mechanical Engineering Design, columns (Euler and J. B. Johnson).
func RodBuckling(diameter, length, k, yield float64) (Buckling, error) {
	if err := check(limit{name: "the rod", x: diameter, unit: "mm", lo: 5, hi: 500},
		limit{name: "the length", x: length, unit: "mm", lo: 10, hi: 20000},
		limit{name: "the end factor", x: k, lo: 0.5, hi: 2},
		limit{name: "the yield strength", x: yield, unit: "MPa", lo: 100, hi: 1500}); err != nil {
		return Buckling{}, err
	}
	b := Buckling{Slenderness: k * length / (diameter / 4), Limit: math.Sqrt(2 * math.Pi * math.Pi * SteelModulus / yield)}
	inertia := math.Pi / 64 * math.Pow(diameter, 4)
	b.Euler = math.Pi * math.Pi * SteelModulus * inertia / sq(k*length) / 1000
	b.Load = b.Euler
	if b.Slenderness < b.Limit {
		b.Johnson = true
		area := math.Pi / 4 * sq(diameter)
		b.Load = area * (yield - sq(yield*b.Slenderness/(2*math.Pi))/SteelModulus) / 1000
	}
	return b, nil
}
