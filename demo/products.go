package demo

import (
	"fmt"
	"strconv"

	"tackline/plant"
	"tackline/product"
)

// op is one line of a route, with its crew, in the order people write it.
type op struct {
	seq                                        int
	name, centre, nature, setup, load, run, un string
	family, key, size, program, fixture, draw  string
	closed, when, note, loop                   string
	hold                                       bool
	repair                                     float64
	crew                                       string // pool x heads / for
}

func (d *maker) products() {
	d.b.Classes = append(d.b.Classes, classes...)
	d.boughtItems()
	d.pins()
	d.cylinders()
	d.jawsAndHeads()
	d.tineGrab()
	d.logGrapple()
	d.clamshell()
	d.crates()
	d.documents()
}

func (d *maker) item(i product.Item, attributes ...string) {
	if i.Unit == "" {
		i.Unit = "ea"
	}
	if i.Plant == "" {
		i.Plant = brackwater
	}
	if i.Policy == "" {
		i.Policy = "unit"
	}
	if i.Lot == "" {
		i.Lot = "as needed"
	}
	if i.Lead == 0 {
		i.Lead = 10
	}
	d.b.Items = append(d.b.Items, i)
	for n := 0; n+2 < len(attributes); n += 3 {
		d.b.Attributes = append(d.b.Attributes, product.Attribute{Item: i.ID, Name: attributes[n], Value: attributes[n+1], Unit: attributes[n+2]})
	}
}

func (d *maker) route(item plant.ItemID, ops ...op) {
	for _, o := range ops {
		if o.closed == "" {
			o.closed = product.Pause
		}
		d.b.Ops = append(d.b.Ops, product.Op{Item: item, Seq: o.seq, Name: o.name, Centre: plant.CentreID(o.centre), Nature: o.nature,
			Closed: o.closed, When: plant.Formula(o.when), Setup: number(o.setup), Load: number(o.load), Run: number(o.run),
			Unload: number(o.un), Family: plant.Pattern(o.family), Key: plant.Pattern(o.key), Size: sized(o.size),
			Program: plant.Pattern(o.program), Fixture: plant.Pattern(o.fixture), Drawing: plant.Pattern(o.draw), Hold: o.hold,
			Repair: o.repair, Loop: o.loop, Note: o.note})
		if o.crew == "" {
			continue
		}
		pool, heads, what := splitCrew(o.crew)
		d.b.Crews = append(d.b.Crews, product.Crew{Item: item, Seq: o.seq, Pool: pool, Heads: heads, For: what})
	}
}

// splitCrew reads "welders", "assemblers x2" or "machinists load".
func splitCrew(s string) (plant.PoolID, int, string) {
	var pool, word string
	heads, what := 1, "both"
	fmt.Sscanf(s, "%s %s", &pool, &word)
	if word == "load" {
		what = word
	} else if word != "" {
		heads, _ = strconv.Atoi(word[1:])
	}
	return plant.PoolID(pool), heads, what
}

func number(s string) plant.Formula {
	if s == "" {
		s = "0"
	}
	return plant.Formula(s)
}

func sized(s string) plant.Formula {
	if s == "" {
		s = "1"
	}
	return plant.Formula(s)
}

func (d *maker) part(parent plant.ItemID, line int, component, quantity, unit string, at int, when string, set bool) {
	d.b.Parts = append(d.b.Parts, product.Part{Parent: parent, Line: line, Component: plant.Pattern(component), Quantity: plant.Formula(quantity),
		Unit: plant.MeasureUnit(unit), Op: at, When: plant.Formula(when), Set: set})
}

// bought is a bought item: name, unit, cost, lead days, mass.
type bought struct {
	id, name, kind, unit string
	cost, lead, mass     float64
	safety               float64
}

var boughtList = []bought{
	{"plate-20", "Plate 20 mm", "bought", "kg", 1.15, 14, 1, 2000},
	{"plate-30", "Plate 30 mm", "bought", "kg", 1.2, 14, 1, 2000},
	{"bar-50", "Bar 50 mm, hard chromed", "bar", "m", 46, 15, 15.41, 12},
	{"bar-60", "Bar 60 mm, hard chromed", "bar", "m", 64, 15, 22.19, 12},
	{"bar-70", "Bar 70 mm, pin steel", "bar", "m", 52, 12, 30.21, 12},
	{"bar-90", "Bar 90 mm, pin steel", "bar", "m", 81, 12, 49.94, 12},
	{"tube-80", "Tube 80 x 100 mm, for honing", "tube", "m", 58, 20, 22.2, 12},
	{"tube-100", "Tube 100 x 120 mm, for honing", "tube", "m", 74, 20, 27.13, 12},
	{"rod-eye", "Rod eye, forged", "bought", "ea", 38, 20, 6.5, 20},
	{"gland-80", "Gland 80 mm", "bought", "ea", 44, 12, 2.1, 8},
	{"gland-100", "Gland 100 mm", "bought", "ea", 57, 12, 3.2, 8},
	{"seals-80", "Seal kit 80 mm", "bought", "ea", 31, 8, 0.2, 8},
	{"seals-100", "Seal kit 100 mm", "bought", "ea", 39, 8, 0.3, 8},
	{"bush-70", "Bush 70 mm", "bought", "ea", 14, 10, 0.8, 30},
	{"bush-90", "Bush 90 mm", "bought", "ea", 19, 10, 1.3, 30},
	{"tip", "Jaw tip, wear steel", "bought", "ea", 62, 15, 9, 12},
	{"rotator", "Rotator, hydraulic, 10 t", "bought", "ea", 1850, 30, 95, 1},
	{"manifold", "Manifold block", "bought", "ea", 240, 18, 7, 2},
	{"hoses", "Hose kit", "bought", "ea", 165, 7, 8, 3},
	{"return-line", "Return line kit", "bought", "ea", 88, 7, 3, 1},
	{"saw-drive", "Saw drive with bar", "bought", "ea", 1320, 25, 41, 1},
	{"magnet", "Magnet insert", "bought", "ea", 2900, 40, 320, 0},
	{"paint", "Two-pack paint, mixed", "bought", "l", 13, 7, 1.4, 40},
	{"plate-serial", "Serial plate", "bought", "ea", 4, 5, 0.1, 20},
	{"skid", "Skid, timber", "bought", "ea", 55, 5, 38, 4},
}

func (d *maker) boughtItems() {
	for _, i := range boughtList {
		d.item(product.Item{ID: plant.ItemID(i.id), Name: i.name, Kind: i.kind, Unit: plant.MeasureUnit(i.unit), Cost: plant.MoneyOf(i.cost),
			Lead: i.lead, Mass: i.mass, Policy: "stock", Safety: plant.QtyOf(i.safety)})
	}
	for _, id := range []string{"plate-20", "plate-30"} {
		d.itemNamed(id).Plant = fellgate
	}
}

func (d *maker) itemNamed(id string) *product.Item {
	for i := range d.b.Items {
		if string(d.b.Items[i].ID) == id {
			return &d.b.Items[i]
		}
	}
	panic("no item " + id) // a literal of this package
}

func (d *maker) pins() {
	for _, p := range []struct{ id, bar, diameter, length string }{
		{"pin-70", "bar-70", "70", "260"}, {"pin-90", "bar-90", "90", "320"}} {
		id := plant.ItemID(p.id)
		d.item(product.Item{ID: id, Name: "Pin " + p.diameter + " mm", Kind: product.Made, Policy: "stock", Mass: 8, Cost: plant.MoneyOf(48),
			Lot: "minimum", LotQty: plant.Pieces(16), Multiple: plant.Pieces(4), Safety: plant.Pieces(8), Scrap: 1},
			"d_mm", p.diameter, "mm", "l_mm", p.length, "mm", "hole_mm", "8", "mm")
		d.part(id, 10, p.bar, "item.l_mm + 4", "mm", 10, "", false)
		d.route(id,
			op{seq: 10, name: "saw bar", centre: "bar-saw", nature: product.Tended, load: "0.5", run: "saw_minutes(item.d_mm, 60)", un: "0.3", family: "d{int(item.d_mm)}", crew: "cylinder-crew load"},
			op{seq: 20, name: "turn and chamfer", centre: "lathe", nature: product.Tended, setup: "10", load: "1.5", run: "3 * turn_minutes(item.d_mm, item.l_mm, 160, 0.3) + 1", un: "1", family: "pin-{int(item.d_mm)}", program: "TP-{int(item.d_mm)}", draw: "D-PIN", crew: "cylinder-crew load"},
			op{seq: 30, name: "gun drill grease way", centre: "gun-drill", nature: product.Tended, setup: "5", load: "2", run: "gundrill_minutes(item.hole_mm, item.l_mm / 2, 65, 0.02)", un: "1", family: "g{int(item.hole_mm)}", program: "GD-{int(item.hole_mm)}", crew: "cylinder-crew load"},
			op{seq: 40, name: "harden", centre: "heat-treat", nature: product.Away, run: "3 * 9 * 60", note: "three working days at the heat treater, transport included"},
			op{seq: 50, name: "dip coat", centre: "pin-dip", nature: product.Batch, load: "4", run: "12", un: "6", key: "pins", crew: "finishers load"},
			op{seq: 60, name: "drip and dry", centre: "pin-rack", nature: product.Dwell, run: "60 * dry_hours(6, 18)"})
	}
}

func (d *maker) cylinders() {
	for _, c := range []struct{ id, bore, rod, stroke string }{
		{"cyl-80-400", "80", "50", "400"}, {"cyl-100-500", "100", "60", "500"}} {
		d.rod("rod-"+c.bore, c.rod, c.stroke)
		d.tube("barrel-"+c.bore, c.bore, c.stroke)
		id := plant.ItemID(c.id)
		d.item(product.Item{ID: id, Name: "Cylinder " + c.bore + "/" + c.rod + ", stroke " + c.stroke, Kind: product.Made, Policy: "stock",
			Mass: 38, Cost: plant.MoneyOf(410), Lot: "minimum", LotQty: plant.Pieces(8), Multiple: plant.Pieces(2), Safety: plant.Pieces(4)},
			"bore_mm", c.bore, "mm", "rod_mm", c.rod, "mm", "stroke_mm", c.stroke, "mm", "area_m2", "0.45", "m2", "proof_bar", "375", "bar")
		d.part(id, 10, "rod-"+c.bore, "1", "ea", 10, "", false)
		d.part(id, 20, "barrel-"+c.bore, "1", "ea", 10, "", false)
		d.part(id, 30, "gland-"+c.bore, "1", "ea", 10, "", false)
		d.part(id, 40, "seals-"+c.bore, "1", "ea", 10, "", false)
		d.part(id, 50, "paint", "coat_litres(item.area_m2, 60, 65, 0.4)", "l", 40, "", false)
		d.route(id,
			op{seq: 10, name: "wash and assemble clean", centre: "clean-room", nature: product.Attended, run: "38", draw: "D-CYL-{int(item.bore_mm)}", crew: "cylinder-crew"},
			op{seq: 20, name: "leak and proof test", centre: "leak-test", nature: product.Attended, setup: "8", run: "9 + throw_seconds(item.bore_mm, item.rod_mm, item.stroke_mm, 20, 'out') * 6 / 60", family: "t{int(item.bore_mm)}", repair: 3, loop: "10,20", crew: "cylinder-crew",
				note: "High pressure. Guards closed, nobody in line with ports or rod; release pressure before opening. Local rules and the test procedure govern."},
			op{seq: 30, name: "wash and mask", centre: "mask", nature: product.Attended, run: "8", crew: "finishers"},
			op{seq: 40, name: "paint", centre: "paint-booth", nature: product.Batch, load: "6", run: "30", un: "8", key: "grey", family: "grey", size: "item.area_m2", crew: "finishers",
				note: "Solvent and isocyanate vapour. Breathing protection and extraction on; follow the data sheet and local rules."},
			op{seq: 50, name: "dry", centre: "dry-rack", nature: product.Dwell, run: "60 * dry_hours(4, 18)", size: "0.5"})
	}
}

func (d *maker) rod(id, diameter, stroke string) {
	item := plant.ItemID(id)
	d.item(product.Item{ID: item, Name: "Rod " + diameter + " mm, welded", Kind: product.Made, Policy: "stock", Mass: 16, Cost: plant.MoneyOf(120),
		Lot: "minimum", LotQty: plant.Pieces(8), Multiple: plant.Pieces(2), Scrap: 1},
		"d_mm", diameter, "mm", "l_mm", number2(stroke, 190), "mm", "thread_mm", number2(diameter, -14), "mm")
	d.part(item, 10, "bar-"+diameter, "item.l_mm + 6", "mm", 10, "", false)
	d.part(item, 20, "rod-eye", "1", "ea", 30, "", false)
	d.route(item,
		op{seq: 10, name: "saw bar, chrome protected", centre: "bar-saw", nature: product.Tended, load: "1", run: "saw_minutes(item.d_mm, 50)", un: "0.5", family: "d{int(item.d_mm)}", crew: "cylinder-crew load"},
		op{seq: 20, name: "turn and thread", centre: "lathe", nature: product.Tended, setup: "12", load: "2", run: "2 * turn_minutes(item.thread_mm, 70, 150, 0.25) + thread_minutes(item.thread_mm, 58, 2, 10, 90) + 3", un: "1.5", family: "rod-{int(item.d_mm)}", program: "TR-{int(item.d_mm)}", draw: "D-ROD-{int(item.d_mm)}", crew: "cylinder-crew load"},
		op{seq: 30, name: "preheat and weld rod eye", centre: "rod-weld", nature: product.Tended, setup: "6", load: "4", run: "weld_minutes(12, 3.14 * item.d_mm * 2, 'robot') + 4", un: "2", family: "eye-{int(item.d_mm)}", program: "RW-{int(item.d_mm)}", fixture: "F-ROD", crew: "cylinder-crew load", repair: 2, loop: "30",
			note: "Medium-carbon rod: preheat to the welding procedure before striking an arc."},
		op{seq: 40, name: "final turn", centre: "lathe", nature: product.Tended, setup: "8", load: "2", run: "turn_minutes(item.d_mm, 60, 150, 0.2) + 4", un: "1.5", family: "rod-{int(item.d_mm)}", program: "TF-{int(item.d_mm)}", crew: "cylinder-crew load"})
}

func number2(s string, plus int) string { n, _ := strconv.Atoi(s); return strconv.Itoa(n + plus) }

func (d *maker) tube(id, bore, stroke string) {
	item := plant.ItemID(id)
	d.item(product.Item{ID: item, Name: "Barrel " + bore + " mm, welded and burnished", Kind: product.Made, Policy: "stock", Mass: 17,
		Cost: plant.MoneyOf(150), Lot: "minimum", LotQty: plant.Pieces(8), Multiple: plant.Pieces(2), Scrap: 1.5},
		"bore_mm", bore, "mm", "l_mm", number2(stroke, 160), "mm")
	d.part(item, 10, "tube-"+bore, "item.l_mm + 6", "mm", 10, "", false)
	d.route(item,
		op{seq: 10, name: "saw tube", centre: "bar-saw", nature: product.Tended, load: "1", run: "saw_minutes(item.bore_mm * 0.66, 60)", un: "0.5", family: "t{int(item.bore_mm)}", crew: "cylinder-crew load"},
		op{seq: 20, name: "face, drill, tap, deburr", centre: "tube-prep", nature: product.Attended, setup: "6", run: "14 + 2 * drill_minutes(18, 12, 25, 0.2) + 2 * tap_minutes(20, 22, 2, 10)", family: "p{int(item.bore_mm)}", draw: "D-BAR-{int(item.bore_mm)}", crew: "cylinder-crew"},
		op{seq: 30, name: "weld return tube and base", centre: "rod-weld", nature: product.Tended, setup: "6", load: "4", run: "weld_minutes(8, 3.14 * item.bore_mm + 260, 'robot') + 2", un: "2", family: "base-{int(item.bore_mm)}", program: "BW-{int(item.bore_mm)}", fixture: "F-BAR", crew: "cylinder-crew load", repair: 3, loop: "30"},
		op{seq: 40, name: "skive and burnish", centre: "burnish", nature: product.Attended, setup: "10", run: "8 + burnish_minutes(item.bore_mm, item.l_mm, 200, 1.5)", family: "b{int(item.bore_mm)}", program: "SB-{int(item.bore_mm)}", crew: "cylinder-crew"})
}
