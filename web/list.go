package web

import (
	"net/http"
	"net/url"
	"sort"
	"strconv"
	"strings"
	"time"

	"tackline/plant"
)

// pageRows is how many rows of a list one page shows.
const pageRows = 100

// list is a kind of list: its columns, its order, and what it says when it is empty. Rows are shown as a page of a table
// and exported whole, by the same columns.
type list[T any] struct {
	name      string // of exported files
	one, many string // what a row is: "unit", "units"
	columns   []column[T]
	order     string // key of the column it is sorted by at first, with "-" for the largest first
	anchor    func(T) string
	empty     string // what to do when there is no row
	unpaged   bool   // all rows on one page, so that links to them find them
}

// column is one column of a list.
type column[T any] struct {
	key, title string
	cell       func(T) cell
	number     bool // to the right
	wide       bool // sentences
	fileOnly   bool // exported, not shown
}

// cell is one value in a list: how it is shown, sorted and exported.
type cell struct {
	Text   string
	Under  string // a second line, smaller
	Whole  string // exported in the place of Text, where that is cut
	Href   string
	ISO    string // of a time
	State  hatching
	Late   bool
	Code   bool    // an identifier: not broken over lines
	Number float64 // sorted and exported by it, if Exact
	Exact  bool
}

func text(s string) cell                 { return cell{Text: s} }
func link(s, href string) cell           { return cell{Text: s, Href: href} }
func number(n float64, show string) cell { return cell{Text: show, Number: n, Exact: true} }
func whole(n int) cell                   { return number(float64(n), strconv.Itoa(n)) }
func lining(h hatching) cell             { return cell{Text: h.Word, State: h} }

// at is a cell with an instant. One that is not known sorts last.
func at(t plant.Time, loc *time.Location) cell {
	m := momentOf(t, loc)
	if m.Text == "" {
		return cell{Number: float64(plant.Never), Exact: true}
	}
	return cell{Text: m.Text, ISO: m.ISO, Number: float64(t), Exact: true}
}

func (c cell) under(s string) cell { c.Under = s; return c }
func (c cell) to(href string) cell { c.Href = href; return c }
func (c cell) late(yes bool) cell  { c.Late = yes; return c }
func (c cell) code() cell          { c.Code = true; return c }

// only gives the list with some of its columns, in the order named.
func (l *list[T]) only(keys ...string) *list[T] {
	few := *l
	few.columns = nil
	for _, k := range keys {
		for _, c := range l.columns {
			if c.key == k {
				few.columns = append(few.columns, c)
			}
		}
	}
	return &few
}

// table is a list as its template shows it.
type table struct {
	Heads     []head
	Rows      []row
	Count     string // "150 units", "units 101 to 200 of 430"
	Prev      string // addresses; "" if there is none
	Next      string
	CSV, XLSX string
	Empty     string
	Clear     string // the address without the filter; "" if nothing is filtered
}

type head struct {
	Title, Href, Sort, Turn string // Sort is aria-sort; Turn is the arrow
	Number                  bool
}

type row struct {
	Anchor string
	Cells  []placed
}

// placed is a cell with its column's title and kind.
type placed struct {
	cell
	Title  string
	Number bool
	Wide   bool
	First  bool
}

// sorted gives rows in the order that the address asks for, or the list's own.
func (l *list[T]) sorted(q url.Values, rows []T) []T {
	by, down := l.sorting(q)
	if by == nil {
		return rows
	}
	keys := make([]cell, len(rows))
	at := make([]int, len(rows))
	for i := range rows {
		keys[i], at[i] = by.cell(rows[i]), i
		if !keys[i].Exact {
			keys[i].Text = strings.ToLower(keys[i].Text)
		}
	}
	sort.SliceStable(at, func(i, j int) bool {
		if down {
			i, j = j, i
		}
		return keys[at[i]].before(keys[at[j]])
	})
	out := make([]T, len(rows))
	for i, k := range at {
		out[i] = rows[k]
	}
	return out
}

func (c cell) before(d cell) bool {
	if c.Exact != d.Exact {
		return c.Exact
	}
	if c.Exact {
		return c.Number < d.Number
	}
	return c.Text < d.Text
}

func (l *list[T]) sorting(q url.Values) (by *column[T], down bool) {
	for _, want := range []string{q.Get("sort"), l.order} {
		key := strings.TrimPrefix(want, "-")
		for i := range l.columns {
			if l.columns[i].key == key && key != "" {
				return &l.columns[i], strings.HasPrefix(want, "-")
			}
		}
	}
	return nil, false
}

// table shows the page of rows that the address asks for. The rows need not be sorted.
func (l *list[T]) table(r *http.Request, rows []T) table {
	q := r.URL.Query()
	rows = l.sorted(q, rows)
	size := pageRows
	if l.unpaged {
		size = max(len(rows), 1)
	}
	page, _ := strconv.Atoi(q.Get("page"))
	last := max((len(rows)-1)/size, 0)
	page = min(max(page, 1), last+1)
	from := (page - 1) * size
	to := min(from+size, len(rows))
	t := table{Empty: l.empty, Count: count(len(rows), l.one, l.many)}
	if last > 0 {
		t.Count = l.many + " " + strconv.Itoa(from+1) + " to " + strconv.Itoa(to) + " of " + strconv.Itoa(len(rows))
	}
	if page > 1 {
		t.Prev = address(r, "page", strconv.Itoa(page-1))
	}
	if page <= last {
		t.Next = address(r, "page", strconv.Itoa(page+1))
	}
	t.CSV, t.XLSX = address(r, "format", "csv", "page", ""), address(r, "format", "xlsx", "page", "")
	t.Heads = l.heads(r)
	for _, x := range rows[from:to] {
		t.Rows = append(t.Rows, l.row(x))
	}
	return t
}

// filteredBy lets the list lead back to all rows.
func (t table) filteredBy(f *filter) table {
	if f.Set {
		t.Clear = f.all()
	}
	return t
}

func (l *list[T]) row(x T) row {
	rw := row{Cells: make([]placed, 0, len(l.columns))}
	if l.anchor != nil {
		rw.Anchor = l.anchor(x)
	}
	for _, c := range l.columns {
		if !c.fileOnly {
			rw.Cells = append(rw.Cells, placed{cell: c.cell(x), Title: c.title, Number: c.number, Wide: c.wide, First: len(rw.Cells) == 0})
		}
	}
	return rw
}

func (l *list[T]) heads(r *http.Request) []head {
	by, down := l.sorting(r.URL.Query())
	var heads []head
	for i := range l.columns {
		c := &l.columns[i]
		if c.fileOnly {
			continue
		}
		h := head{Title: c.title, Number: c.number, Href: address(r, "sort", c.key, "page", "")}
		if c == by {
			h.Sort, h.Turn = "ascending", "\u25b2"
			if down {
				h.Sort, h.Turn = "descending", "\u25bc"
			} else {
				h.Href = address(r, "sort", "-"+c.key, "page", "")
			}
		}
		heads = append(heads, h)
	}
	return heads
}

// address gives the address of r with some of its query changed; an empty value takes the name out.
func address(r *http.Request, pairs ...string) string {
	q := r.URL.Query()
	for i := 0; i+1 < len(pairs); i += 2 {
		q.Set(pairs[i], pairs[i+1])
	}
	for name, values := range q {
		if len(values) == 0 || values[0] == "" {
			q.Del(name)
		}
	}
	if len(q) == 0 {
		return r.URL.Path
	}
	return r.URL.Path + "?" + q.Encode()
}

// pathPart escapes one part of a path.
func pathPart(s string) string { return url.PathEscape(s) }
