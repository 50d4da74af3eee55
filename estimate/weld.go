package estimate

import (
	"fmt"
	"math"
	"strings"
)

// SteelDensity is the density of structural steel in kg/m3 (EN 1991-1-1 table A.4 gives 77 to 78.5 kN/m3, from memory).
const SteelDensity = 7850

// WeldProcess holds what a welding process deposits and how much of the time the arc burns.
type WeldProcess struct {
	Name       string
	Deposition float64 // weld metal deposited while the arc burns, kg/h
	ArcOn      float64 // share of station time in which the arc burns, 0 to 1
	Meaning    string
	Source     string
}

// WeldProcesses lists the processes with their defaults. Arc-on shares are typical operating factors as TWI publishes
// them (stick 25 %, semi-automatic gas-shielded 45 %, flux-cored 40 %, submerged arc 40 %) or planning values; deposition
// rates are planning values, common practice. A plant replaces them by what it measures.
func WeldProcesses() []WeldProcess {
	return []WeldProcess{
		{"manual", 3.5, 0.30, "by hand, solid wire and gas, with fitting and turning of a heavy part", "common practice (arc-on 20 to 40 %)"},
		{"robot", 5.0, 0.75, "robot, solid wire and gas", "common practice (arc-on 60 to 85 %)"},
		{"stick", 1.5, 0.25, "covered electrode", "arc-on: TWI, typical operating factors; kg/h: common practice"},
		{"fcaw", 4.0, 0.40, "flux-cored wire by hand", "arc-on: TWI, typical operating factors; kg/h: common practice"},
		{"gmaw", 3.5, 0.45, "solid wire and gas by hand, at a bench", "arc-on: TWI, typical operating factors; kg/h: common practice"},
		{"saw", 6.0, 0.40, "submerged arc", "arc-on: TWI, typical operating factors; kg/h: common practice"},
	}
}

func weldProcess(name string) (WeldProcess, error) {
	var names []string
	for _, p := range WeldProcesses() {
		if p.Name == name {
			return p, nil
		}
		names = append(names, p.Name)
	}
	return WeldProcess{}, fmt.Errorf("the welding process is %q; expected %s", name, strings.Join(names, ", "))
}

// FilletArea gives the cross-section in mm2 of an equal-leg fillet weld with leg z in mm, flat face: z^2/2. Range: leg 1 to
// 100 mm. Source: geometry; AWS Welding Handbook, filler metal consumption tables.
func FilletArea(leg float64) (float64, error) {
	if err := check(limit{name: "the leg", x: leg, unit: "mm", lo: 1, hi: 100}); err != nil {
		return 0, err
	}
	return leg * leg / 2, nil
}

// FilletThroat gives the throat in mm of an equal-leg fillet weld with leg z in mm: z/sqrt(2). Range: leg 1 to 100 mm.
// Source: geometry (ISO 2553 defines both sizes).
func FilletThroat(leg float64) (float64, error) {
	if err := check(limit{name: "the leg", x: leg, unit: "mm", lo: 1, hi: 100}); err != nil {
		return 0, err
	}
	return leg / math.Sqrt2, nil
}

// FilletMass gives the mass of weld metal in kg per metre of fillet weld: z^2/2 x 7.85e-3, times 1 + reinforcement.
// Reinforcement is the share added for a convex face, 0 to 0.5 (10 to 20 % is common practice). Range: leg 1 to 100 mm.
// Source: as FilletArea.
func FilletMass(leg, reinforcement float64) (float64, error) {
	area, err := FilletArea(leg)
	if err != nil {
		return 0, err
	}
	if err := check(limit{name: "the reinforcement", x: reinforcement * 100, unit: "%", lo: 0, hi: 50}); err != nil {
		return 0, err
	}
	return area * SteelDensity * 1e-6 * (1 + reinforcement), nil
}

// WeldRates replace the defaults of a process. 0 keeps a default.
type WeldRates struct {
	Deposition    float64 // kg/h
	ArcOn         float64 // 0 to 1
	Reinforcement float64 // share of weld metal added, 0 to 0.5
}

// Weld is what a fillet weld takes.
type Weld struct {
	Mass    float64 // weld metal, kg
	Arc     float64 // time with the arc burning, min
	Station float64 // time at the station: arc time / arc-on share, min
}

// FilletWeld gives mass and time of an equal-leg fillet weld: mass = kg/m x length; arc min = 60 x mass / (kg/h);
// station min = arc / arc-on share. Leg 1 to 100 mm, length 0 to 10 km in mm, deposition 0.1 to 50 kg/h, arc-on share 1 to
// 100 %. Source: AWS Welding Handbook, operating factor and deposition rate; defaults as WeldProcesses.
func FilletWeld(leg, length float64, process string, r WeldRates) (Weld, error) {
	p, err := weldProcess(process)
	if err != nil {
		return Weld{}, err
	}
	perMetre, err := FilletMass(leg, r.Reinforcement)
	if err != nil {
		return Weld{}, err
	}
	if r.Deposition != 0 {
		p.Deposition = r.Deposition
	}
	if r.ArcOn != 0 {
		p.ArcOn = r.ArcOn
	}
	if err := check(limit{name: "the length", x: length, unit: "mm", lo: 0, hi: 1e7},
		limit{name: "the deposition rate", x: p.Deposition, unit: "kg/h", lo: 0.1, hi: 50},
		limit{name: "the arc-on share", x: p.ArcOn * 100, unit: "%", lo: 1, hi: 100}); err != nil {
		return Weld{}, err
	}
	mass := perMetre * length / 1000
	arc := 60 * mass / p.Deposition
	return Weld{Mass: mass, Arc: arc, Station: arc / p.ArcOn}, nil
}

// WireDeposition gives weld metal deposited in kg/h from a wire of diameter in mm fed at metres per minute, with the share
// of the wire that ends in the weld (solid wire 0.93 to 0.98, flux-cored 0.78 to 0.86): pi/4 d^2 x feed x density x
// efficiency. Ranges: 0.6 to 6 mm, 0.5 to 30 m/min, 0.5 to 1. Source: geometry; efficiencies from the AWS Welding Handbook.
func WireDeposition(diameter, feed, efficiency float64) (float64, error) {
	if err := check(limit{name: "the wire", x: diameter, unit: "mm", lo: 0.6, hi: 6},
		limit{name: "the wire feed", x: feed, unit: "m/min", lo: 0.5, hi: 30},
		limit{name: "the efficiency", x: efficiency * 100, unit: "%", lo: 50, hi: 100}); err != nil {
		return 0, err
	}
	return math.Pi / 4 * diameter * diameter * feed * 60 * SteelDensity * 1e-6 * efficiency, nil
}

// thermalEfficiency is the factor k of EN 1011-1 (table 1, from memory); robot and manual here mean solid wire and gas.
var thermalEfficiency = map[string]float64{
	"manual": 0.8, "robot": 0.8, "stick": 0.8, "fcaw": 0.8, "gmaw": 0.8, "saw": 1.0, "tig": 0.6,
}

// ArcEnergy gives the arc energy in kJ/mm of an arc with volts and amperes that travels mm/min: 60 U I / (1000 v), without a
// factor for the process. Ranges: 5 to 60 V, 10 to 2000 A, 10 to 5000 mm/min. Source: AWS D1.1 (heat input without k);
// ISO/TR 18491.
func ArcEnergy(volt, ampere, travel float64) (float64, error) {
	if err := check(limit{name: "the voltage", x: volt, unit: "V", lo: 5, hi: 60},
		limit{name: "the current", x: ampere, unit: "A", lo: 10, hi: 2000},
		limit{name: "the travel speed", x: travel, unit: "mm/min", lo: 10, hi: 5000}); err != nil {
		return 0, err
	}
	return 60 * volt * ampere / travel / 1000, nil
}

// HeatInput gives the heat input in kJ/mm: k x ArcEnergy, k from EN 1011-1 (stick and gas-shielded 0.8, submerged arc 1.0,
// tig 0.6). Always say whether k was applied: procedures to American codes leave it out. Source: EN 1011-1 (clause 19, from memory).
func HeatInput(volt, ampere, travel float64, process string) (float64, error) {
	k, ok := thermalEfficiency[process]
	if !ok {
		return 0, fmt.Errorf("the welding process is %q; expected manual, robot, stick, fcaw, gmaw, saw or tig", process)
	}
	e, err := ArcEnergy(volt, ampere, travel)
	return k * e, err
}

// Steel holds the composition of a steel in per cent by mass.
type Steel struct {
	C, Mn, Cr, Mo, V, Ni, Cu float64
}

func (s Steel) check() error {
	return check(limit{name: "carbon", x: s.C, unit: "%", lo: 0, hi: 2.1},
		limit{name: "manganese", x: s.Mn, unit: "%", lo: 0, hi: 20}, limit{name: "chromium", x: s.Cr, unit: "%", lo: 0, hi: 30},
		limit{name: "molybdenum", x: s.Mo, unit: "%", lo: 0, hi: 10}, limit{name: "vanadium", x: s.V, unit: "%", lo: 0, hi: 5},
		limit{name: "nickel", x: s.Ni, unit: "%", lo: 0, hi: 30}, limit{name: "copper", x: s.Cu, unit: "%", lo: 0, hi: 5})
}

// CarbonEquivalent gives the carbon equivalent of the IIW in per cent: C + Mn/6 + (Cr+Mo+V)/5 + (Ni+Cu)/15. Source: EN
// 1011-2 annex C (clause from memory). Meant for unalloyed and low-alloy steels.
func CarbonEquivalent(s Steel) (float64, error) {
	if err := s.check(); err != nil {
		return 0, err
	}
	return s.C + s.Mn/6 + (s.Cr+s.Mo+s.V)/5 + (s.Ni+s.Cu)/15, nil
}

// CET gives the carbon equivalent of method B in per cent: C + (Mn+Mo)/10 + (Cr+Cu)/20 + Ni/40. Source: EN 1011-2 annex C.3.
func CET(s Steel) (float64, error) {
	if err := s.check(); err != nil {
		return 0, err
	}
	return s.C + (s.Mn+s.Mo)/10 + (s.Cr+s.Cu)/20 + s.Ni/40, nil
}

// Preheat gives the preheat temperature in degC by method B: 697 CET + 160 tanh(d/35) + 62 HD^0.35 + (53 CET - 32) Q - 328,
// with CET in per cent, thickness d in mm, hydrogen HD in ml/100 g, heat input Q in kJ/mm. A result at or below the
// temperature of the shop asks for none. Ranges (from memory): CET 0.2 to 0.5, d 10 to 90, HD 1 to 20, Q 0.5 to 4.
// Source: EN 1011-2 annex C.3.
func Preheat(cet, thickness, hydrogen, heat float64) (float64, error) {
	if err := check(limit{name: "CET", x: cet, unit: "%", lo: 0.2, hi: 0.5, because: "the rule of EN 1011-2 ends there"},
		limit{name: "the thickness", x: thickness, unit: "mm", lo: 10, hi: 90, because: "the rule of EN 1011-2 ends there"},
		limit{name: "the hydrogen content", x: hydrogen, unit: "ml/100 g", lo: 1, hi: 20},
		limit{name: "the heat input", x: heat, unit: "kJ/mm", lo: 0.5, hi: 4}); err != nil {
		return 0, err
	}
	return 697*cet + 160*math.Tanh(thickness/35) + 62*math.Pow(hydrogen, 0.35) + (53*cet-32)*heat - 328, nil
}
