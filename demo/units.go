package demo

import (
	"tackline/plant"
	"tackline/product"
)

// endOfLine is the end of every unit's journey, from kitting to the skid.
func endOfLine(assembly, draw string) []op {
	return []op{
		{seq: 10, name: "kit parts for the unit", centre: "kitting", nature: product.Attended, run: "28", draw: draw, crew: "materials"},
		{seq: 20, name: "sub-assemble manifold, hoses, rotator", centre: "sub-assembly", nature: product.Attended, run: "50 + (opt.rotator ? 55 : 0)", draw: draw, crew: "assemblers"},
		{seq: 30, name: "assemble", centre: "assembly", nature: product.Attended, run: assembly, draw: draw, crew: "assemblers x2",
			note: "Suspended load: nobody below, rated lifting points only, local lifting rules govern."},
		{seq: 40, name: "function test", centre: "function-test", nature: product.Attended, run: "40 + (opt.rotator ? 12 : 0)", draw: draw, crew: "testers", repair: 8, loop: "30,40",
			note: "High pressure and moving jaws: guards closed, pressure released before anybody reaches in. Test procedure and local rules govern."},
		{seq: 50, name: "final inspection and sign-off", centre: "final-check", nature: product.Attended, run: "26", draw: draw, crew: "inspectors", hold: true},
		{seq: 60, name: "skid, wrap and load", centre: "shipping", nature: product.Attended, run: "38", crew: "shippers"},
	}
}

func (d *maker) option(p, option, name, kind, values, def string) {
	d.b.Options = append(d.b.Options, product.Option{Product: plant.ItemID(p), Option: plant.OptionID(option), Name: name, Kind: kind, Values: values, Default: def})
}

func (d *maker) rule(p, rule, must, says string) {
	d.b.Rules = append(d.b.Rules, product.Rule{Product: plant.ItemID(p), Rule: rule, Must: plant.Formula(must), Says: says})
}

// common adds the parts and options that every attachment has.
func (d *maker) common(p plant.ItemID) {
	s := string(p)
	d.option(s, "rotator", "Rotator", "yes-no", "", "yes")
	d.option(s, "return_line", "Return line", "yes-no", "", "no")
	d.option(s, "colour", "Colour", "choice", "orange|grey|green", "orange")
	d.part(p, 210, "rotator", "1", "ea", 20, "opt.rotator", false)
	d.part(p, 220, "manifold", "1", "ea", 20, "", false)
	d.part(p, 230, "hoses", "1", "ea", 20, "", false)
	d.part(p, 240, "return-line", "1", "ea", 20, "opt.return_line", false)
	d.part(p, 250, "plate-serial", "1", "ea", 50, "", false)
	d.part(p, 260, "skid", "1", "ea", 60, "", false)
}

func (d *maker) tineGrab() {
	const id = "tine-grab"
	d.item(product.Item{ID: id, Name: "Tine grab", Kind: product.Made, Product: true, Family: "tine grab", Mass: 900, Cost: plant.MoneyOf(9800)})
	d.option(id, "jaws", "Number of jaws", "number", "3|4|5", "4")
	d.option(id, "form", "Jaw form", "choice", "open|closed", "closed")
	d.option(id, "size", "Size", "choice", "small|large", "small")
	d.common(id)
	d.rule(id, "five-jaws", "opt.jaws < 5 || opt.form == 'closed'", "Five jaws come closed only.")
	d.rule(id, "large-five", "!(opt.jaws == 5 && opt.size == 'large') || opt.return_line", "A large grab with five jaws needs the return line.")
	d.part(id, 10, "head-tg-{opt.size}-{int(opt.jaws)}", "1", "ea", 30, "", false)
	d.part(id, 20, "jaw-{opt.form}-{opt.size}", "opt.jaws", "ea", 30, "", true)
	d.part(id, 30, "{opt.size == 'small' ? 'cyl-80-400' : 'cyl-100-500'}", "opt.jaws", "ea", 30, "", false)
	d.part(id, 40, "{opt.size == 'small' ? 'pin-70' : 'pin-90'}", "3 * opt.jaws", "ea", 30, "", false)
	d.part(id, 50, "tip", "opt.jaws", "ea", 30, "opt.form == 'closed'", false)
	d.route(id, endOfLine("210 + 62 * opt.jaws", "D-TG")...)
}

func (d *maker) logGrapple() {
	const id = "log-grapple"
	d.item(product.Item{ID: id, Name: "Log grapple", Kind: product.Made, Product: true, Family: "log grapple", Mass: 520, Cost: plant.MoneyOf(6200)})
	d.option(id, "size", "Size", "choice", "small|large", "small")
	d.option(id, "saw", "Saw", "yes-no", "", "no")
	d.common(id)
	d.rule(id, "saw-rotator", "!opt.saw || opt.rotator", "A saw needs the rotator.")
	d.rule(id, "saw-return", "!opt.saw || opt.return_line", "A saw needs the return line.")
	d.part(id, 10, "head-lg-{opt.size}", "1", "ea", 30, "", false)
	d.part(id, 20, "arm-{opt.size}", "2", "ea", 30, "", true)
	d.part(id, 30, "{opt.size == 'small' ? 'cyl-80-400' : 'cyl-100-500'}", "2", "ea", 30, "", false)
	d.part(id, 40, "{opt.size == 'small' ? 'pin-70' : 'pin-90'}", "8", "ea", 30, "", false)
	d.part(id, 50, "saw-box", "1", "ea", 30, "opt.saw", false)
	d.route(id, endOfLine("260 + (opt.saw ? 95 : 0)", "D-LG")...)

	d.item(product.Item{ID: "saw-box", Name: "Saw box", Kind: product.Made, Mass: 74, Cost: plant.MoneyOf(640)})
	d.part("saw-box", 10, "saw-drive", "1", "ea", 20, "", false)
	d.part("saw-box", 20, "plate-box", "1", "ea", 10, "", false)
	d.item(product.Item{ID: "plate-box", Name: "Saw box plates, bent", Kind: product.Bought, Policy: "stock", Mass: 33, Cost: plant.MoneyOf(140), Lead: 9, Safety: plant.Pieces(2)})
	d.route("saw-box",
		op{seq: 10, name: "weld box", centre: "weld-bench", nature: product.Attended, run: "weld_minutes(5, 2600, 'manual') + 15", draw: "D-SAW", crew: "welders"},
		op{seq: 20, name: "fit saw drive", centre: "sub-assembly", nature: product.Attended, run: "65", draw: "D-SAW", crew: "assemblers", note: "Chain guard on before any test run."})
}

func (d *maker) clamshell() {
	const id = "clamshell"
	d.item(product.Item{ID: id, Name: "Clamshell", Kind: product.Made, Product: true, Family: "clamshell", Mass: 780, Cost: plant.MoneyOf(8600)})
	d.option(id, "volume", "Volume, litres", "number", "250|400|600", "400")
	d.option(id, "magnet", "Magnet insert", "yes-no", "", "no")
	d.option(id, "voltage", "Magnet voltage", "choice", "none|24|230", "none")
	d.common(id)
	d.rule(id, "magnet-voltage", "opt.magnet == (opt.voltage != 'none')", "A magnet needs a voltage, and only a magnet has one.")
	d.rule(id, "magnet-volume", "!opt.magnet || opt.volume >= 400", "The magnet insert fits 400 and 600 litres only.")
	d.part(id, 10, "head-cs-{int(opt.volume)}", "1", "ea", 30, "", false)
	d.part(id, 20, "shell-{int(opt.volume)}", "2", "ea", 30, "", true)
	d.part(id, 30, "cyl-100-500", "2", "ea", 30, "", false)
	d.part(id, 40, "pin-70", "8", "ea", 30, "", false)
	d.part(id, 50, "magnet", "1", "ea", 30, "opt.magnet", false)
	d.route(id, endOfLine("300 + (opt.magnet ? 70 : 0)", "D-CS")...)
}

// crates are what sister plants order: cylinders and pins on a skid.
func (d *maker) crates() {
	for _, c := range []struct{ id, name, component, values, def string }{
		{"crate-cyl-80", "Cylinders 80/50, crated", "cyl-80-400", "4|6|8|12", "6"},
		{"crate-cyl-100", "Cylinders 100/60, crated", "cyl-100-500", "4|6|8|12", "6"},
		{"crate-pin-70", "Pins 70 mm, crated", "pin-70", "16|24|40", "24"}} {
		d.item(product.Item{ID: plant.ItemID(c.id), Name: c.name, Kind: product.Made, Product: true, Family: "cylinders and pins", Mass: 200, Cost: plant.MoneyOf(2400)})
		d.option(c.id, "pieces", "Pieces", "number", c.values, c.def)
		d.part(plant.ItemID(c.id), 10, c.component, "opt.pieces", "ea", 10, "", false)
		d.part(plant.ItemID(c.id), 20, "skid", "1", "ea", 10, "", false)
		d.route(plant.ItemID(c.id),
			op{seq: 10, name: "count, crate and label", centre: "shipping", nature: product.Attended, run: "20 + 1.5 * opt.pieces", crew: "shippers"})
	}
}
