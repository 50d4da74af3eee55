package demo

import (
	"fmt"

	"tackline/plant"
	"tackline/product"
)

// welded is a part that is tacked, robot-welded, inspected, blasted, machined, painted and dried.
type welded struct {
	id, name, family     string // family: setup family of robot and mill
	mass, area           float64
	leg, weldMM, handMM  int    // robot and hand weld
	boreMM, boreLen      int    // pivot bores
	bores, holes         int    // bores and bolt holes
	mill                 string // work centre that machines it
	plate                string // plate of its kit
	bush                 string
	program, fixture, dr string
	cost                 float64
}

func (d *maker) jawsAndHeads() {
	for _, s := range []struct {
		size, bush string
		mass       float64
		weld, bore int
	}{{"small", "bush-70", 95, 3800, 70}, {"large", "bush-90", 165, 5600, 90}} {
		for _, form := range []string{"open", "closed"} {
			extra := map[string]int{"open": 0, "closed": 1400}[form]
			d.welded(welded{id: "jaw-" + form + "-" + s.size, name: "Jaw, " + form + ", " + s.size, family: "jaw-" + s.size, mass: s.mass,
				area: s.mass / 60, leg: 8, weldMM: s.weld + extra, handMM: 600, boreMM: s.bore, boreLen: 120, bores: 3, mill: "pallet-mill",
				plate: "plate-20", bush: s.bush, program: "WJ-" + form + "-" + s.size, fixture: "F-J-" + s.size, dr: "D-J-" + form + "-" + s.size, cost: s.mass * 3.4})
		}
		for jaws := 3; jaws <= 5; jaws++ {
			d.welded(welded{id: fmt.Sprintf("head-tg-%s-%d", s.size, jaws), name: fmt.Sprintf("Head, tine grab, %s, %d jaws", s.size, jaws), family: "head",
				mass: s.mass*2 + float64(jaws)*22, area: s.mass / 38, leg: 10, weldMM: s.weld + jaws*900, handMM: 1500, boreMM: s.bore, boreLen: 60,
				bores: 2 * jaws, holes: 16, mill: "pallet-mill", plate: "plate-30", bush: s.bush, program: fmt.Sprintf("WH-%s-%d", s.size, jaws),
				fixture: "F-H-" + s.size, dr: fmt.Sprintf("D-H-%s-%d", s.size, jaws), cost: s.mass * 7})
		}
		d.welded(welded{id: "arm-" + s.size, name: "Grapple arm, " + s.size, family: "jaw-" + s.size, mass: s.mass * 1.2, area: s.mass / 55, leg: 8,
			weldMM: s.weld + 800, handMM: 700, boreMM: s.bore, boreLen: 110, bores: 4, mill: "pallet-mill", plate: "plate-20", bush: s.bush,
			program: "WA-" + s.size, fixture: "F-A-" + s.size, dr: "D-A-" + s.size, cost: s.mass * 4})
		d.welded(welded{id: "head-lg-" + s.size, name: "Head, log grapple, " + s.size, family: "head", mass: s.mass * 1.6, area: s.mass / 45, leg: 10,
			weldMM: s.weld + 1200, handMM: 1200, boreMM: s.bore, boreLen: 60, bores: 4, holes: 16, mill: "pallet-mill", plate: "plate-30", bush: s.bush,
			program: "WL-" + s.size, fixture: "F-L-" + s.size, dr: "D-L-" + s.size, cost: s.mass * 5})
	}
	for _, v := range []int{250, 400, 600} {
		f := float64(v)
		d.welded(welded{id: fmt.Sprintf("shell-%d", v), name: fmt.Sprintf("Shell, %d l", v), family: "shell", mass: 60 + f*0.32, area: 2 + f/170, leg: 8,
			weldMM: 5200 + v*4, handMM: 1400, boreMM: 70, boreLen: 90, bores: 4, mill: "bore-mill", plate: "plate-20", bush: "bush-70",
			program: fmt.Sprintf("WS-%d", v), fixture: "F-S", dr: fmt.Sprintf("D-S-%d", v), cost: f * 1.6})
		d.welded(welded{id: fmt.Sprintf("head-cs-%d", v), name: fmt.Sprintf("Head, clamshell, %d l", v), family: "head", mass: 90 + f*0.2, area: 1.5 + f/260, leg: 10,
			weldMM: 5000 + v*3, handMM: 1300, boreMM: 70, boreLen: 60, bores: 4, holes: 16, mill: "pallet-mill", plate: "plate-30", bush: "bush-70",
			program: fmt.Sprintf("WC-%d", v), fixture: "F-C", dr: fmt.Sprintf("D-C-%d", v), cost: f * 1.4})
	}
}

func (d *maker) welded(w welded) {
	id, kit := plant.ItemID(w.id), plant.ItemID("kit-"+w.id)
	n := func(v any) string { return fmt.Sprint(v) }
	d.item(product.Item{ID: kit, Name: "Plate kit, " + w.name, Kind: product.Made, Plant: fellgate, Mass: w.mass, Cost: plant.MoneyOf(w.cost * 0.5)},
		"plate_kg", n(w.mass*1.18), "kg", "cut_m", n(float64(w.weldMM)/330), "m", "bends", n(2+w.weldMM/2500), "")
	d.part(kit, 10, w.plate, "item.plate_kg", "kg", 10, "", false)
	d.route(kit,
		op{seq: 10, name: "cut plate", centre: "plate-cut", nature: product.Tended, setup: "6", load: "1.5", run: "item.cut_m / 1.6", un: "2", program: "PC-" + w.id, draw: w.dr, crew: "plate-crew load"},
		op{seq: 20, name: "bend", centre: "press-brake", nature: product.Attended, setup: "8", run: "1.5 * item.bends", family: w.plate, draw: w.dr, crew: "plate-crew"})

	d.item(product.Item{ID: id, Name: w.name, Kind: product.Made, Mass: w.mass, Cost: plant.MoneyOf(w.cost)},
		"area_m2", fmt.Sprintf("%.2f", w.area), "m2", "mass_kg", n(w.mass), "kg", "leg_mm", n(w.leg), "mm", "weld_mm", n(w.weldMM*5/2), "mm",
		"hand_mm", n(w.handMM*3), "mm", "bore_mm", n(w.boreMM), "mm", "bore_len_mm", n(w.boreLen), "mm", "bores", n(w.bores), "", "holes", n(w.holes), "")
	d.part(id, 10, string(kit), "1", "ea", 10, "", true)
	if w.bush != "" {
		d.part(id, 20, w.bush, "item.bores", "ea", 80, "", false)
	}
	d.part(id, 30, "paint", "coat_litres(item.area_m2, 120, 65, 0.4)", "l", 110, "", false)
	d.route(id, d.weldedRoute(w)...)
}

func (d *maker) weldedRoute(w welded) []op {
	return []op{
		{seq: 10, name: "receive and check kit", centre: "kit-check", nature: product.Attended, run: "6 + 0.02 * item.mass_kg", draw: w.dr, crew: "materials"},
		{seq: 20, name: "tack in fixture", centre: "tack", nature: product.Attended, setup: "10", run: "28 + 0.25 * item.mass_kg", family: w.family, fixture: w.fixture, draw: w.dr, crew: "tackers",
			note: "Lift with the marked points only. Hot work: extraction on, screens closed."},
		{seq: 30, name: "robot weld", centre: "weld-robot", nature: product.Tended, setup: "6", load: "9", run: "weld_minutes(item.leg_mm, item.weld_mm, 'robot')", un: "6", family: w.family, program: w.program, fixture: w.fixture, draw: w.dr, crew: "robot-crew load"},
		{seq: 40, name: "finish weld by hand", centre: "weld-bench", nature: product.Attended, run: "6 + weld_minutes(item.leg_mm, item.hand_mm, 'manual')", draw: w.dr, crew: "welders",
			note: "Fume extraction and eye protection; qualified welders only; follow the welding procedure."},
		{seq: 50, name: "inspect welds", centre: "weld-check", nature: product.Attended, run: "10 + item.weld_mm / 900", draw: w.dr, crew: "weld-inspectors", repair: 5, loop: "40,50"},
		{seq: 60, name: "shot blast", centre: "blast", nature: product.Batch, load: "6", run: "max(10, blast_minutes(item.area_m2))", un: "6", key: "steel", crew: "finishers load",
			note: "Cabinet closed before the wheel starts; air-fed helmet when blowing down."},
		{seq: 70, name: "machine bores and faces", centre: w.mill, nature: product.Tended, setup: "12", load: "12", run: "item.bores * (3 * bore_minutes(item.bore_mm, item.bore_len_mm, 120, 0.12) + 14) + item.holes * drill_minutes(18, 30, 25, 0.25) + 20", un: "8", family: w.family, program: "M" + w.program, fixture: w.fixture, draw: w.dr, crew: "machinists load"},
		{seq: 80, name: "fit bushes, deburr", centre: "mask", nature: product.Attended, run: "4 + 2.5 * item.bores", draw: w.dr, crew: "finishers"},
		{seq: 90, name: "wash", centre: "wash", nature: product.Batch, load: "4", run: "14", un: "4", key: "wash", crew: "finishers load"},
		{seq: 100, name: "mask", centre: "mask", nature: product.Attended, run: "4 + 1.2 * item.bores", crew: "finishers"},
		{seq: 110, name: "paint", centre: "paint-booth", nature: product.Batch, load: "8", run: "35", un: "8", key: "{opt.colour}", family: "{opt.colour}", size: "item.area_m2", crew: "finishers",
			note: "Surface at least 3 K above dew point. Solvent vapour: breathing protection, extraction on; follow the data sheet and local rules."},
		{seq: 120, name: "dry on rack", centre: "dry-rack", nature: product.Dwell, run: "60 * dry_hours(5, 18)"},
	}
}
