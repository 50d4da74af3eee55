package estimate

import (
	"fmt"
	"math"
)

func densityLimit(kg float64) limit {
	return limit{name: "the density", x: kg, unit: "kg/m3", lo: 100, hi: 25000}
}

// Mass gives the mass in kg of a volume in mm3: V x density x 10^-9, density in kg/m3 (steel 7850). Ranges: volume 0 to 10^12
// mm3, density 100 to 25000. Source: definition.
func Mass(volume, density float64) (float64, error) {
	if err := check(limit{name: "the volume", x: volume, unit: "mm3", lo: 0, hi: 1e12}, densityLimit(density)); err != nil {
		return 0, err
	}
	return volume * density * 1e-9, nil
}

// PlateMass gives the mass in kg of a plate with length, width and thickness in mm. Ranges: 0 to 20000 mm, thickness 0 to 1000
// mm. Steel has 7.85 kg/m2 for each mm. Source: geometry.
func PlateMass(length, width, thickness, density float64) (float64, error) {
	if err := check(lengthLimit("the length", length), lengthLimit("the width", width),
		limit{name: "the thickness", x: thickness, unit: "mm", lo: 0, hi: 1000}); err != nil {
		return 0, err
	}
	return Mass(length*width*thickness, density)
}

// BarMass gives the mass in kg of a round bar with diameter and length in mm: pi/4 D^2 L. Steel has 0.006165 D^2 kg/m. Ranges:
// diameter 0.5 to 3000 mm, length 0 to 20000 mm. Source: geometry.
func BarMass(diameter, length, density float64) (float64, error) {
	return TubeMass(diameter, 0, length, density)
}

// TubeMass gives the mass in kg of a tube with outside diameter, bore and length in mm: pi/4 (D^2 - d^2) L. Ranges: outside 0.5
// to 3000 mm, bore 0 to the outside, length 0 to 20000 mm. Source: geometry.
func TubeMass(outside, bore, length, density float64) (float64, error) {
	if err := check(diameterLimit(outside), limit{name: "the bore", x: bore, unit: "mm", lo: 0, hi: outside * 0.999},
		lengthLimit("the length", length)); err != nil {
		return 0, err
	}
	return Mass(math.Pi/4*(outside*outside-bore*bore)*length, density)
}

// SlingLeg gives the load in kg on each leg of a sling that lifts a mass with its legs at an angle in degrees from the
// horizontal: m / (legs sin(angle)). Of three or four legs at most three are counted; a stiff load may hang on two, for which
// ask with 2 legs. Below 30 degrees is refused. Ranges: mass 0 to 500000 kg, legs 1 to 4 (1 leg: 90 degrees), angle 30 to 90.
// Source: statics; ASME B30.9 (no less than 30 degrees from horizontal without a qualified person, from memory); makers'
// sling tables.
func SlingLeg(mass, legs, angle float64) (float64, error) {
	if err := check(limit{name: "the mass", x: mass, unit: "kg", lo: 0, hi: 500000}, limit{name: "the number of legs", x: legs, lo: 1, hi: 4},
		limit{name: "the angle from the horizontal", x: angle, unit: "degrees", lo: 30, hi: 90, because: "flatter slings are not allowed"}); err != nil {
		return 0, err
	}
	if err := whole("the number of legs", legs); err != nil {
		return 0, err
	}
	if legs == 1 && angle != 90 {
		return 0, fmt.Errorf("a sling of one leg hangs at 90 degrees; found %s", digits(angle))
	}
	return mass / (math.Min(legs, 3) * math.Sin(angle*math.Pi/180)), nil
}

// Bolt is the preload and torque of a bolt.
type Bolt struct {
	Preload float64 // kN
	Torque  float64 // N m
}

// BoltTorque gives preload and torque: F = share x Sp x At, T = K F d; diameter d in mm, stress area At in mm2, proof strength Sp
// in MPa, nut factor K (0.2 dry steel, about 0.15 oiled), share of proof (0.75 where the joint is taken apart again). Ranges: d
// 3 to 100 mm, At 3 to 8000 mm2 and not above the full section, Sp 100 to 1200 MPa, K 0.05 to 0.4, share 0.1 to 0.9. Source:
// Shigley, Mechanical Engineering Design, bolted joints; areas and strengths ISO 898-1.
func BoltTorque(diameter, area, proof, k, share float64) (Bolt, error) {
	if err := check(limit{name: "the diameter", x: diameter, unit: "mm", lo: 3, hi: 100},
		limit{name: "the stress area", x: area, unit: "mm2", lo: 3, hi: math.Pi / 4 * sq(diameter), because: "it is smaller than the full section"},
		limit{name: "the proof strength", x: proof, unit: "MPa", lo: 100, hi: 1200},
		limit{name: "the nut factor", x: k, lo: 0.05, hi: 0.4},
		limit{name: "the share of proof", x: share * 100, unit: "%", lo: 10, hi: 90}); err != nil {
		return Bolt{}, err
	}
	force := share * proof * area / 1000
	return Bolt{Preload: force, Torque: k * force * diameter}, nil
}

// Learning gives the time of the n-th piece from the time of the first: T1 n^(log2 r), r the rate: every doubling multiplies
// the time by r. Ranges: T1 0 to 10^6, n 1 to 10^6, r 50 to 100 %. Source: Wright, Factors Affecting the Cost of Airplanes (1936).
func Learning(first, n, rate float64) (float64, error) {
	if err := check(limit{name: "the first time", x: first, lo: 0, hi: 1e6}, limit{name: "the number of the piece", x: n, lo: 1, hi: 1e6},
		limit{name: "the learning rate", x: rate * 100, unit: "%", lo: 50, hi: 100}); err != nil {
		return 0, err
	}
	return first * math.Pow(n, math.Log2(rate)), nil
}

// TogetherOnTime gives the share of kits that are complete on time when each of n independent parts is on time with a share p:
// p^n. Ranges: p 0 to 1, n 1 to 10000, whole. Source: probability of independent events.
func TogetherOnTime(p, n float64) (float64, error) {
	if err := check(limit{name: "the share on time", x: p * 100, unit: "%", lo: 0, hi: 100},
		limit{name: "the number of parts", x: n, lo: 1, hi: 10000}); err != nil {
		return 0, err
	}
	if err := whole("the number of parts", n); err != nil {
		return 0, err
	}
	return math.Pow(p, n), nil
}
