package needs

import (
	"slices"

	"tackline/book"
	"tackline/fault"
	"tackline/formula"
	"tackline/plant"
)

// Arithmetic shows how a number of an operation came about: column is one of setup, load, run, unload (minutes, as the
// formula counts them) or size (of one piece).
func Arithmetic(ix *book.Index, r *Result, op int, column string) (formula.Trace, error) {
	if op < 0 || op >= len(r.Ops) || r.Ops[op].Row >= len(ix.Book.Ops) {
		return formula.Trace{}, fault.New(fault.NotFound, "there is no operation %d in this plan", op)
	}
	o := &r.Ops[op]
	row := &ix.Book.Ops[o.Row]
	source, ok := map[string]plant.Formula{"setup": orZero(row.Setup), "load": orZero(row.Load), "run": orZero(row.Run),
		"unload": orZero(row.Unload), "size": or(row.Size, "1")}[column]
	if !ok {
		return formula.Trace{}, &fault.Fault{Kind: fault.NotFound, Column: column, Expected: "one of setup, load, run, unload, size"}
	}
	return explain(ix, r, o.Job, source)
}

// PartArithmetic shows how the quantity of a demand came about, for one piece of the job that consumes it and in the unit
// of the parts-list line.
func PartArithmetic(ix *book.Index, r *Result, demand int) (formula.Trace, error) {
	if demand < 0 || demand >= len(r.Demands) || r.Demands[demand].Part >= len(ix.Book.Parts) {
		return formula.Trace{}, fault.New(fault.NotFound, "there is no need %d in this plan", demand)
	}
	d := &r.Demands[demand]
	return explain(ix, r, d.Job, orZero(ix.Book.Parts[d.Part].Quantity))
}

func explain(ix *book.Index, r *Result, job int, source plant.Formula) (formula.Trace, error) {
	x, err := ix.Formulas.Number(source)
	if err != nil {
		return formula.Trace{}, err
	}
	j := &r.Jobs[job]
	return x.Explain(envOf(ix, j.Item, options(ix, r, j), j.Pieces))
}

// options gives the options of a job, typed for formulas.
func options(ix *book.Index, r *Result, j *Job) map[string]any {
	typed := map[string]any{}
	if j.Unit == None {
		return typed
	}
	for _, o := range ix.OptionsOf[r.Units[j.Unit].Product] {
		if v, ok := book.OptionValue(o, j.Options[o.Option]); ok {
			typed[string(o.Option)] = v
		}
	}
	return typed
}

// columns are the numbers of an operation that have an arithmetic.
var columns = []string{"setup", "load", "run", "unload", "size"}

// Cautions gives what to mind at an operation: the cautions of the trade functions that its numbers come from, each once.
func Cautions(ix *book.Index, r *Result, op int) (list []string) {
	for _, column := range columns {
		trace, err := Arithmetic(ix, r, op, column)
		if err != nil {
			continue // the book does not say; the sheet Times tells why
		}
		for _, c := range trace.Calls {
			if x := c.Function.Caution; x != "" && !slices.Contains(list, x) {
				list = append(list, x)
			}
		}
	}
	return list
}
