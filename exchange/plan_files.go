package exchange

// planFile describes one of the files that a plan is written to.
type planFile struct {
	name    string
	note    string
	columns []planColumn
}

// planColumn describes one column of a plan file.
type planColumn struct{ name, unit, note string }

func (f planFile) header() []string {
	out := make([]string, len(f.columns))
	for i, c := range f.columns {
		out[i] = c.name
	}
	return out
}

const instant = "ISO 8601" // date and time with the offset of the plant

var planTable = planFile{"plan", "one row for each operation, in the order of jobs and operations", []planColumn{
	{"unit", "", "unit that the job is made for; empty if made to stock"},
	{"job", "", "job: the unit, / and the item; stock/, the item, / and a number if made to stock"},
	{"item", "", "item made"},
	{"op", "", "number of the operation"},
	{"name", "", "what is done"},
	{"pieces", "", "pieces of the job, the share lost in making included"},
	{"station", "", "station; empty: the operation found no place, and why says the reason"},
	{"setup_start", instant, "setup begins; equal to start if there is none"},
	{"start", instant, "load begins"},
	{"run", instant, "run begins"},
	{"unload", instant, "unload begins"},
	{"end", instant, "the operation is over"},
	{"batch", "", "operations with the same number on one station are one batch; empty: none"},
	{"crew", "", "crew pools with heads, and when they are needed"},
	{"state", "", "done, running or frozen, as the floor said; empty: free to be planned"},
	{"why", "", "why the operation found no place"},
}}

var unitsTable = planFile{"units", "one row for each unit", []planColumn{
	{"unit", "", "unit: order-line-number, such as 1042-1-2"},
	{"order", "", "order"}, {"line", "", "order line"}, {"customer", "", "customer"}, {"class", "", "order class"},
	{"plant", "", "plant that ships it"}, {"product", "", "item ordered"}, {"options", "", "option=value, separated by ;"},
	{"due", instant, "when it is promised"},
	{"ship", instant, "when its last operation ends; empty: not planned"},
	{"slack_hours", "h", "due minus ship; negative is late"},
	{"late_days", "d", "days late, 0 if not"},
	{"late_cost", "currency", "what the lateness costs, by order class and priority"},
	{"sentence", "", "why it ships then, in words"},
}}

var kitsTable = planFile{"kits", "one row for each part of each kit, by the time at which the kit is due", []planColumn{
	{"unit", "", "unit"}, {"job", "", "job that consumes the part"}, {"op", "", "operation that consumes it"},
	{"name", "", "what is done"}, {"station", "", "station that the kit goes to"},
	{"due", instant, "when the kit must be there"},
	{"kit", "", "state of the whole kit: that of its worst part"},
	{"item", "", "part"}, {"part_name", "", "name of the part"},
	{"quantity", "", "quantity in unit_of_measure"}, {"unit_of_measure", "", "unit of measure"},
	{"state", "", "complete: there now; short: bought, expected or sent from another plant, and later than the operation must begin to keep the due dates, so listed in shortages.csv; planned: any other"},
	{"comes", instant, "when it comes; empty: not known"},
	{"source", "", "where it comes from"},
}}

var shortagesTable = planFile{"shortages", "parts that come too late or not at all", []planColumn{
	{"item", "", "part"}, {"plant", "", "plant that needs it"}, {"quantity", "", "quantity in the item's unit"},
	{"job", "", "job that waits for it"}, {"op", "", "operation that waits for it"},
	{"wanted", instant, "latest begin of the operation that keeps the due dates"},
	{"comes", instant, "when it comes; empty: not known"},
	{"source", "", "where it comes from"},
	{"units", "", "units held up, separated by blanks"},
}}

var whyTable = planFile{"why", "the controlling path of each unit from now to its ship date, cut into segments that add up exactly", []planColumn{
	{"unit", "", "unit"}, {"segment", "", "number of the segment, from 1"},
	{"from", instant, "begin"}, {"to", instant, "end"}, {"hours", "h", "length"},
	{"reason", "", "working, setup, waits for the station, waits for crew, waits for material, not released, transfer, waits for the rest, shop closed, drying, held, away, kept back, kept back by hand, waits"},
	{"job", "", "job concerned"}, {"op", "", "operation concerned"},
	{"behind_job", "", "job that is in the way"}, {"behind_op", "", "operation that is in the way"},
	{"text", "", "in words"},
}}

var loadTable = planFile{"load", "hours planned against hours open, by work centre and week", []planColumn{
	{"centre", "", "work centre"}, {"week", "date", "first day of the week, in the plant's time"},
	{"open_hours", "h", "open hours of its stations"}, {"run_hours", "h", "hours of load, run and unload"},
	{"setup_hours", "h", "hours of setup"}, {"load_percent", "%", "run and setup hours as a share of open hours; empty if it is not open"},
	{"operations", "", "number of operations counted"},
}}

var actionsTable = planFile{"actions", "what must be done about material", []planColumn{
	{"action", "", "make, buy, transfer, expedite or defer"}, {"item", "", "item"}, {"plant", "", "plant that needs it"},
	{"from_plant", "", "plant that sends it, for a transfer"}, {"quantity", "", "quantity in the item's unit"},
	{"by", instant, "when it must be done or there"}, {"receipt", "", "receipt concerned"}, {"job", "", "job to release"},
	{"units", "", "units it is for, separated by blanks"}, {"reason", "", "why"},
}}

var runsTable = planFile{"runs", "what each station does next, in order", []planColumn{
	{"station", "", "station"}, {"place", "", "place in the list, from 1"},
	{"unit", "", "unit"}, {"job", "", "job"}, {"item", "", "item made"}, {"op", "", "operation"}, {"name", "", "what is done"}, {"pieces", "", "pieces"},
	{"setup_start", instant, "setup begins"}, {"start", instant, "load begins"}, {"end", instant, "the operation is over"},
	{"program", "", "program"}, {"fixture", "", "fixture"}, {"drawing", "", "drawing"},
	{"kit", "", "state of the kit"}, {"ready", "", "yes: can start as far as the records say"},
	{"blocks", "", "what keeps it from starting, who clears it, and until when"},
}}

var pegsTable = planFile{"pegs", "what the plan settled about material, which a further plan of the changed book leaves as it is (`tackline plan --from`)", []planColumn{
	{"job", "", "job that needs it; empty: safety stock, a proposed lot, or a unit"}, {"op", "", "operation that needs it"},
	{"item", "", "item"}, {"no", "", "number among the needs of the item at that operation"},
	{"plant", "", "plant where it lies or is made"},
	{"kind", "", "stock, receipt, job, purchase or issued: what covers the need; proposed: the size of a job made to stock; planned: a unit that was planned"},
	{"source", "", "the lot, receipt, job or unit"}, {"quantity", "", "quantity in the item's unit"},
	{"expected", instant, "of a receipt: when it was expected"},
}}

var movesTable = planFile{"moves", "what moved against the plan that this one was planned again from, and why; written with `tackline plan --from` only", []planColumn{
	{"unit", "", "unit that the job is made for; empty if made to stock"}, {"job", "", "job"}, {"op", "", "operation"}, {"name", "", "what is done"},
	{"inside", "", "yes: the earlier plan has it begin inside the freeze window"},
	{"was_station", "", "station in the earlier plan"}, {"was_setup", instant, "its begin there"}, {"was_end", instant, "its end there"},
	{"station", "", "station now"}, {"setup_start", instant, "its begin now"}, {"end", instant, "its end now"},
	{"cause", "", "cannot, late, material, closed, no crew; or for the sake of another operation: behind, place, crew, follows; pays: the plan costs less so"},
	{"by_job", "", "job of the operation for whose sake"}, {"by_op", "", "that operation"},
	{"why", "", "the chain of causes in words, what set it off first"},
}}

var aboutTable = planFile{"about", "how the plan was made, and its score", []planColumn{
	{"name", "", "name of the value"}, {"value", "", "its value"}, {"unit", "", "its unit"}, {"note", "", "what it means"},
}}

func planFiles() []planFile {
	return []planFile{planTable, unitsTable, kitsTable, shortagesTable, whyTable, loadTable, actionsTable, runsTable, pegsTable, movesTable, aboutTable}
}
