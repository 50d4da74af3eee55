package estimate

import (
	"math"
	"testing"
)

func TestSpindleSpeed(t *testing.T) { // Machinery's Handbook: n = 1000 v / (pi D)
	run(t, []value{of("80 mm", 795.8)(SpindleSpeed(80, 200)), of("20 mm", 318.3)(SpindleSpeed(20, 20)), of("100 mm", 318.3)(SpindleSpeed(100, 100)),
		of("turning", 716.2)(SpindleSpeed(80, 180))})
}

func TestTurningAndBoring(t *testing.T) {
	run(t, []value{
		of("80 x 300", 1.396)(Turning(80, 300, 180, 0.3, 1, 0)), of("with run-in", 1.420)(Turning(80, 300, 180, 0.3, 1, 5)),
		of("two passes", 2.793)(Turning(80, 300, 180, 0.3, 2, 0)), of("nothing", 0)(Turning(80, 0, 180, 0.3, 1, 5)),
		// Kalpakjian and Schmid: bar of 12.5 mm, 150 mm long, 400 turns/min, 200 mm/min axial: 0.75 min.
		of("stainless bar", 0.75)(Turning(12.5, 150, math.Pi*12.5*400/1000, 0.5, 1, 0)),
		of("bush bore", 67.0/60)(Boring(100, 80, 150, 0.15, 1, 0)),
	})
}

func TestThreads(t *testing.T) {
	run(t, []value{of("M20 x 2.5 tapped", 11.3/60)(Tapping(20, 40, 2.5, 12, 5)), of("M60 x 2 turned", 42.7/60)(ThreadTurning(60, 60, 2, 10, 90, 8, 0)),
		of("with returns", 42.7/60+10*2/60.0)(ThreadTurning(60, 60, 2, 10, 90, 8, 2))})
}

func TestDrilling(t *testing.T) {
	run(t, []value{
		of("point 118", 6.01)(DrillPoint(20, 118)), of("flat", 0)(DrillPoint(20, 180)),
		of("20 mm, 60 deep", 0.684)(Drilling(20, 60, 25, 0.25, 118, 2)),
		// School text: 20 mm hole in a 25 mm plate, v 20, f 0.25, no allowance: 0.314 min.
		of("no allowance", 0.314)(Drilling(20, 25, 20, 0.25, 180, 0)),
		of("gun drill", 14.4)(GunDrilling(16, 600, 70, 0.03)),
	})
	// Trap: one text gives the point as (D/2) tan(59 degrees) = 16.6 mm; it must be divided.
	if p, _ := DrillPoint(20, 118); math.Abs(p-16.6) < 1 {
		t.Error("the tangent was multiplied")
	}
}

func TestOtherCutting(t *testing.T) {
	run(t, []value{
		of("burnish 1200 mm", 75.4/60)(Burnishing(100, 1200, 200, 1.5)),
		of("face mill", 0.491)(FaceMilling(100, 400, 8, 0.2, 200, 1)),
		of("saw 80 mm bar", 50.3/60)(Sawing(80, 0, 60)), of("saw tube 120/100", math.Pi*1100/60/100)(Sawing(120, 100, 60)),
		of("tool life", 16)(ToolLife(200, 400, 0.25)), // Taylor
	})
}

func TestMachineRefusals(t *testing.T) {
	refused(t, []refusal{
		{"no diameter", errOf(SpindleSpeed(0, 100)), "the diameter is 0 mm"}, {"no speed", errOf(SpindleSpeed(10, 0)), "the cutting speed"},
		{"no feed", errOf(Turning(80, 300, 180, 0, 1, 0)), "the feed"}, {"half a pass", errOf(Turning(80, 300, 180, 0.3, 1.5, 0)), "whole number"},
		{"point", errOf(DrillPoint(20, 0)), "point angle"}, {"pitch", errOf(Tapping(20, 40, 0, 12, 0)), "the pitch"},
		{"bore", errOf(Sawing(80, 90, 60)), "the bore"}, {"teeth", errOf(FaceMilling(100, 400, 7.5, 0.2, 200, 1)), "whole number"},
		{"not a number", errOf(SpindleSpeed(math.NaN(), 100)), "not a number"}, {"infinite", errOf(GunDrilling(16, math.Inf(1), 70, 0.03)), "not a number"},
	})
}
