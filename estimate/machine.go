package estimate

import "math"

// Ranges shared by the machining rules: diameters in mm, cutting speeds in m/min, feeds in mm per turn, lengths in mm. A
// length of 0 means that there is nothing to cut and takes no time.

func diameterLimit(d float64) limit {
	return limit{name: "the diameter", x: d, unit: "mm", lo: 0.5, hi: 3000}
}

func speedLimit(v float64) limit {
	return limit{name: "the cutting speed", x: v, unit: "m/min", lo: 1, hi: 2000}
}

func feedLimit(f float64) limit {
	return limit{name: "the feed", x: f, unit: "mm/turn", lo: 0.001, hi: 10}
}

func lengthLimit(name string, l float64) limit {
	return limit{name: name, x: l, unit: "mm", lo: 0, hi: 20000}
}

func passLimit(n float64) limit { return limit{name: "the number of passes", x: n, lo: 1, hi: 100} }

// SpindleSpeed gives turns per minute: n = 1000 v / (pi D), cutting speed v in m/min, diameter D in mm. Ranges: D 0.5 to 3000
// mm, v 1 to 2000 m/min. Source: Machinery's Handbook, cutting speeds and feeds.
func SpindleSpeed(diameter, speed float64) (float64, error) {
	if err := check(diameterLimit(diameter), speedLimit(speed)); err != nil {
		return 0, err
	}
	return 1000 * speed / (math.Pi * diameter), nil
}

// feedMinutes gives travel / (feed n); nothing to cut takes no time.
func feedMinutes(diameter, length, extra, speed, feed float64) (float64, error) {
	n, err := SpindleSpeed(diameter, speed)
	if err != nil || length == 0 {
		return 0, err
	}
	return (length + extra) / (feed * n), nil
}

// Turning gives minutes to turn a length in mm: passes x (L + run-in) / (f n). Ranges: as SpindleSpeed; feed 0.001 to 10 mm
// per turn; run-in 0 to 500 mm; passes 1 to 100, whole. Source: Kalpakjian and Schmid, Manufacturing Engineering and
// Technology, turning; Machinery's Handbook.
func Turning(diameter, length, speed, feed, passes, runIn float64) (float64, error) {
	if err := check(lengthLimit("the length", length), feedLimit(feed), passLimit(passes),
		limit{name: "the run-in", x: runIn, unit: "mm", lo: 0, hi: 500}); err != nil {
		return 0, err
	}
	if err := whole("the number of passes", passes); err != nil {
		return 0, err
	}
	t, err := feedMinutes(diameter, length, runIn, speed, feed)
	return passes * t, err
}

// Boring gives minutes to bore a hole of a diameter and length in mm; the rule and ranges are those of Turning.
func Boring(diameter, length, speed, feed, passes, runIn float64) (float64, error) {
	return Turning(diameter, length, speed, feed, passes, runIn)
}

// ThreadTurning gives minutes to turn a thread: passes x ((L + run-out) / (P n) + return time). Pitch 0.2 to 12 mm; run-out 0
// to 100 mm; time to return the tool 0 to 60 s a pass. Source: Machinery's Handbook, thread cutting.
func ThreadTurning(diameter, length, pitch, passes, speed, runOut, returnSeconds float64) (float64, error) {
	if err := check(lengthLimit("the length", length), passLimit(passes),
		limit{name: "the pitch", x: pitch, unit: "mm", lo: 0.2, hi: 12},
		limit{name: "the run-out", x: runOut, unit: "mm", lo: 0, hi: 100},
		limit{name: "the return time", x: returnSeconds, unit: "s", lo: 0, hi: 60}); err != nil {
		return 0, err
	}
	if err := whole("the number of passes", passes); err != nil {
		return 0, err
	}
	t, err := feedMinutes(diameter, length, runOut, speed, pitch)
	if err != nil || length == 0 {
		return 0, err
	}
	return passes * (t + returnSeconds/60), nil
}

// Tapping gives minutes to tap a hole and run the tap out at the same speed: 2 (L + extra) / (P n), L the depth of full
// thread, extra the chamfer of the tap and the approach. Ranges: as ThreadTurning. Source: Machinery's Handbook, tapping.
func Tapping(diameter, depth, pitch, speed, extra float64) (float64, error) {
	if err := check(lengthLimit("the depth", depth),
		limit{name: "the pitch", x: pitch, unit: "mm", lo: 0.2, hi: 12},
		limit{name: "the extra travel", x: extra, unit: "mm", lo: 0, hi: 100}); err != nil {
		return 0, err
	}
	t, err := feedMinutes(diameter, depth, extra, speed, pitch)
	return 2 * t, err
}

// DrillPoint gives the length in mm of the point of a drill: (D/2) / tan(angle/2), the point angle in degrees. A flat tool has
// 180 degrees and no point. Ranges: D 0.5 to 3000 mm, angle 60 to 180. Source: Machinery's Handbook, drilling; geometry.
func DrillPoint(diameter, pointAngle float64) (float64, error) {
	if err := check(diameterLimit(diameter), limit{name: "the point angle", x: pointAngle, unit: "degrees", lo: 60, hi: 180}); err != nil {
		return 0, err
	}
	return diameter / 2 / math.Tan(pointAngle/2*math.Pi/180), nil
}

// Drilling gives minutes to drill a hole: (depth + point + approach) / (f n). Ranges: as DrillPoint and Turning; approach 0 to
// 100 mm. Source: Machinery's Handbook, drilling; point allowance by geometry.
func Drilling(diameter, depth, speed, feed, pointAngle, approach float64) (float64, error) {
	point, err := DrillPoint(diameter, pointAngle)
	if err != nil {
		return 0, err
	}
	if err := check(lengthLimit("the depth", depth), feedLimit(feed),
		limit{name: "the approach", x: approach, unit: "mm", lo: 0, hi: 100}); err != nil {
		return 0, err
	}
	return feedMinutes(diameter, depth, point+approach, speed, feed)
}

// GunDrilling gives minutes to gun drill: depth / (f n). Usual: 60 to 100 m/min, 0.01 to 0.05 mm a turn in steel (common
// practice). Ranges: diameter 0.5 to 100 mm, depth 0 to 20000 mm. Source: Machinery's Handbook, deep-hole drilling.
func GunDrilling(diameter, depth, speed, feed float64) (float64, error) {
	if err := check(lengthLimit("the depth", depth), feedLimit(feed),
		limit{name: "the diameter", x: diameter, unit: "mm", lo: 0.5, hi: 100}); err != nil {
		return 0, err
	}
	return feedMinutes(diameter, depth, 0, speed, feed)
}

// Burnishing gives minutes to skive and roller burnish a tube in one pass: L / (f n). Usual: 150 to 250 m/min, 1 to 3 mm a
// turn (common practice). Ranges: as Turning. Source: the rule of turning.
func Burnishing(diameter, length, speed, feed float64) (float64, error) {
	if err := check(lengthLimit("the length", length), feedLimit(feed)); err != nil {
		return 0, err
	}
	return feedMinutes(diameter, length, 0, speed, feed)
}

// FaceMilling gives minutes to face mill: passes x (L + D) / (n z fz), cutter diameter D in mm, teeth z, feed a tooth fz in
// mm. Ranges: D 2 to 1000 mm, z 1 to 100, fz 0.005 to 3 mm. Source: Machinery's Handbook, milling; Kalpakjian and Schmid.
func FaceMilling(cutter, length, teeth, toothFeed, speed, passes float64) (float64, error) {
	if err := check(lengthLimit("the length", length), passLimit(passes),
		limit{name: "the cutter", x: cutter, unit: "mm", lo: 2, hi: 1000},
		limit{name: "the number of teeth", x: teeth, lo: 1, hi: 100},
		limit{name: "the feed", x: toothFeed, unit: "mm/tooth", lo: 0.005, hi: 3}); err != nil {
		return 0, err
	}
	if err := whole("the number of teeth", teeth); err != nil {
		return 0, err
	}
	if err := whole("the number of passes", passes); err != nil {
		return 0, err
	}
	t, err := feedMinutes(cutter, length, cutter, speed, teeth*toothFeed)
	return passes * t, err
}

// Sawing gives minutes to saw a round bar or, with a bore, a tube: pi/4 (D^2 - d^2) / rate, rate in cm2/min. Ranges: D 0.5 to
// 3000 mm, rate 1 to 500 cm2/min (steel bar on a band saw 30 to 80, common practice). Source: geometry.
func Sawing(outside, bore, rate float64) (float64, error) {
	if err := check(diameterLimit(outside), limit{name: "the bore", x: bore, unit: "mm", lo: 0, hi: outside * 0.999},
		limit{name: "the sawing rate", x: rate, unit: "cm2/min", lo: 1, hi: 500}); err != nil {
		return 0, err
	}
	return math.Pi / 4 * (outside*outside - bore*bore) / 100 / rate, nil
}

// ToolLife gives minutes of tool life by Taylor: T = (C/v)^(1/n). Ranges: v 1 to 2000 m/min, C 1 to 5000, n 0.05 to 1. Source:
// Taylor, On the Art of Cutting Metals (1906); Kalpakjian and Schmid.
func ToolLife(speed, c, n float64) (float64, error) {
	if err := check(speedLimit(speed), limit{name: "C", x: c, unit: "m/min", lo: 1, hi: 5000},
		limit{name: "the exponent", x: n, lo: 0.05, hi: 1}); err != nil {
		return 0, err
	}
	return math.Pow(c/speed, 1/n), nil
}
