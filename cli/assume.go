package cli

import (
	"fmt"

	"tackline/assume"
	"tackline/book"
	"tackline/fault"
	"tackline/flow"
	"tackline/plant"
)

// under gives a book under assumptions as they are typed, and those assumptions, and says each of them.
func (a *app) under(b *book.Book, lines []string, now plant.Time) (*book.Book, []assume.Assumption, error) {
	if len(lines) == 0 {
		return b, nil, nil
	}
	var list []assume.Assumption
	var faults fault.List
	for i, line := range lines {
		x, wrong := assume.Parse(line)
		for _, f := range wrong {
			f.Table, f.Row = "assumptions", i+1
		}
		list, faults = append(list, x), append(faults, wrong...)
	}
	if err := faults.Err(); err != nil {
		return nil, nil, err
	}
	changed, err := flow.Assume(b, list)
	if err != nil {
		return nil, nil, err
	}
	for _, x := range list {
		fmt.Fprintln(a.out, "as if:", assume.Sentence(b, x, now))
	}
	return changed, list, nil
}
