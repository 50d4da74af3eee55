package estimate

import (
	"math"
	"testing"
)

func TestMasses(t *testing.T) { // 7.85 kg/m2 per mm; 0.006165 d^2 kg/m
	run(t, []value{
		of("plate", 471.0)(PlateMass(1200, 2500, 20, SteelDensity)), of("plate 30", 226.1)(PlateMass(800, 1200, 30, SteelDensity)),
		of("bar 80", 39.46)(BarMass(80, 1000, SteelDensity)), of("bar 50", 15.41)(BarMass(50, 1000, SteelDensity)),
		of("tube", 32.55)(TubeMass(120, 100, 1200, SteelDensity)), of("litre of steel", 7.85)(Mass(1e6, SteelDensity)),
	})
}

func TestSlings(t *testing.T) { // statics; makers' sling tables print 577, 707, 5775, 7070, 10000
	run(t, []value{
		of("60 degrees", 577)(SlingLeg(1000, 2, 60)), of("45 degrees", 707)(SlingLeg(1000, 2, 45)),
		of("10000, 60", 5775)(SlingLeg(10000, 2, 60)), of("10000, 45", 7070)(SlingLeg(10000, 2, 45)), of("10000, 30", 10000)(SlingLeg(10000, 2, 30)),
		of("1200 kg", 692.8)(SlingLeg(1200, 2, 60)), of("one leg", 500)(SlingLeg(500, 1, 90)),
	})
	for angle, factor := range map[float64]float64{90: 1, 75: 1.035, 60: 1.155, 45: 1.414, 30: 2} {
		run(t, []value{of("factor", factor/2)(SlingLeg(1, 2, angle))})
	}
	// Three and four legs count as three, as chain makers rate them.
	if three, four := first(SlingLeg(900, 3, 60)), first(SlingLeg(900, 4, 60)); three != four {
		t.Errorf("three legs %v, four legs %v", three, four)
	}
	// Traps: one page divides by 1.414 where it must multiply; flat slings are refused; the angle is from the horizontal.
	if leg := first(SlingLeg(1000, 2, 45)); math.Abs(leg-500/1.414) < 1 {
		t.Error("divided by the factor")
	}
}

func TestBolts(t *testing.T) { // stress areas and proof strength ISO 898-1 (from memory); T = K F d
	m20, err1 := BoltTorque(20, 245, 600, 0.2, 0.75)
	m16, err2 := BoltTorque(16, 157, 600, 0.2, 0.75)
	run(t, []value{{name: "M20 preload", got: m20.Preload, err: err1, want: 110.25}, {name: "M20 torque", got: m20.Torque, want: 441},
		{name: "M16 preload", got: m16.Preload, err: err2, want: 70.65}, {name: "M16 torque", got: m16.Torque, want: 226}})
}

func TestLearning(t *testing.T) { // Wright 1936, 80 % curve
	for n, want := range map[float64]float64{1: 100, 2: 80, 3: 70.2, 4: 64, 8: 51.2, 16: 41.0} {
		run(t, []value{of("piece", want)(Learning(100, n, 0.8))})
	}
}

func TestTogetherOnTime(t *testing.T) { // independent parts: p^n
	run(t, []value{of("7 parts", 0.698)(TogetherOnTime(0.95, 7)), of("12 parts", 0.785)(TogetherOnTime(0.98, 12)),
		{name: "for 95 %", got: first(TogetherOnTime(0.9957, 12)), want: 0.95, within: 0.001}})
}

func TestLiftRefusals(t *testing.T) {
	refused(t, []refusal{
		{"flat sling", errOf(SlingLeg(1000, 2, 29)), "flatter slings are not allowed"}, {"five legs", errOf(SlingLeg(1000, 5, 60)), "number of legs"},
		{"one slanted leg", errOf(SlingLeg(1000, 1, 60)), "hangs at 90"}, {"bore", errOf(TubeMass(100, 120, 1, 7850)), "the bore"},
		{"area above section", errOf(BoltTorque(10, 100, 600, 0.2, 0.75)), "smaller than the full section"}, {"rate", errOf(Learning(100, 2, 80)), "learning rate"},
		{"part of a part", errOf(TogetherOnTime(0.9, 1.5)), "whole number"},
	})
}
