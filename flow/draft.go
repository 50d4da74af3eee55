package flow

import (
	"encoding/json"
	"fmt"
	"slices"

	"tackline/assume"
	"tackline/book"
	"tackline/fault"
	"tackline/store"
)

// mostAssumptions bounds a draft: more changes than that belong into the shop book.
const mostAssumptions = 60

// Assume gives a checked book changed by a list of assumptions, checked again: what no assumption could know by itself, such
// as the options of an order added, is found here. Faults name the place in the list from 1 on. b is not changed.
func Assume(b *book.Book, list []assume.Assumption) (*book.Book, error) {
	if len(list) > mostAssumptions {
		return nil, fault.New(fault.Invalid, "A draft has at most %d assumptions, not %d. Write some of them into the shop book.", mostAssumptions, len(list))
	}
	changed, err := assume.Apply(b, list)
	if err != nil || len(list) == 0 {
		return changed, err
	}
	return changed, blame(b, list, harmful(book.Check(changed, nil))).Err()
}

// blame finds the assumption that the faults of a changed book come from: the last one without which those before it have
// none. Mostly it is the last of the list, which somebody has just added.
func blame(b *book.Book, list []assume.Assumption, faults fault.List) fault.List {
	if len(faults) == 0 {
		return nil
	}
	for i := len(list) - 1; i >= 0; i-- {
		var before fault.List
		if i > 0 {
			changed, _ := assume.Fitting(b, list[:i])
			before = harmful(book.Check(changed, nil))
		}
		if len(before) > 0 {
			faults = before
			continue
		}
		for j, f := range faults {
			told := *f
			told.Table, told.Row, told.Column = "assumptions", i+1, columnOf(&list[i], f)
			faults[j] = &told
		}
		break
	}
	return faults
}

// columnOf gives the field of an assumption that a fault in the book is about.
func columnOf(a *assume.Assumption, f *fault.Fault) string {
	for _, name := range []string{f.Column, map[string]string{"due": "at", "expected": "at", "end": "at", "product": "item"}[f.Column]} {
		if name != "" && a.Text(name) != "" {
			return name
		}
	}
	return f.Column
}

// assumedJSON writes assumptions for the store, "" for none.
func assumedJSON(list []assume.Assumption) (string, error) {
	if len(list) == 0 {
		return "", nil
	}
	text, err := json.Marshal(list)
	return string(text), err
}

// assumptionsOf reads what assumedJSON wrote.
func assumptionsOf(text string) (list []assume.Assumption, err error) {
	if text == "" {
		return nil, nil
	}
	if err := json.Unmarshal([]byte(text), &list); err != nil {
		return nil, fmt.Errorf("read the assumptions of a plan: %w", err)
	}
	return list, nil
}

// underJSON gives a book under stored assumptions.
func underJSON(b *book.Book, text string) (*book.Book, error) {
	list, err := assumptionsOf(text)
	if err != nil {
		return nil, err
	}
	return Assume(b, list)
}

// forPlan gives the book that a stored plan is a plan of. A draft is one of the book under its assumptions; those that do not
// fit the book any more are left out, and told. The assumptions of a plan that is or was adopted have become rows of the book.
func (l *loadedBook) forPlan(p *store.Plan) (*book.Book, []assume.Assumption, fault.List, error) {
	list, err := assumptionsOf(p.Assumed)
	if err != nil || len(list) == 0 || p.State != Draft {
		return l.book, list, nil, err
	}
	if p.Revision == l.revision { // checked when it was planned
		changed, unfit := assume.Fitting(l.book, list)
		return changed, list, unfit, nil
	}
	changed, unfit := fitting(l.book, list)
	return changed, list, unfit, nil
}

// fitting gives b under those of the assumptions with which it has no fault, and the faults of the others.
func fitting(b *book.Book, list []assume.Assumption) (*book.Book, fault.List) {
	changed, unfit := assume.Fitting(b, list)
	if len(harmful(book.Check(changed, nil))) == 0 {
		return changed, unfit
	}
	unfit = nil
	var fits []assume.Assumption
	for i, a := range list {
		_, err := Assume(b, append(slices.Clone(fits), a))
		if err == nil {
			fits = append(fits, a)
			continue
		}
		for _, f := range fault.All(err) {
			told := *f
			told.Row = i + 1
			unfit = append(unfit, &told)
		}
	}
	changed, _ = assume.Fitting(b, fits)
	return changed, unfit
}
