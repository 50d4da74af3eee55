package web

import (
	"net/http"
	"strconv"
	"strings"
	"time"

	"tackline/book"
	"tackline/fault"
	"tackline/flow"
)

// bookTableView lists the rows of one table.
type bookTableView struct {
	frame
	Table   string
	Note    string
	Filter  *filter
	List    table
	New     string // address to add a row; "" if the role may not
	History string
	Says    string // what was done to a row just now
	Row     string // address of that row; "" if it is gone
	Columns []columnNote
}

type columnNote struct{ Name, Kind, Meaning, Default string }

// bookRow is a row of any table, as cells.
type bookRow struct {
	key   string
	cells []string
}

func (s *Server) bookTablePage(w http.ResponseWriter, r *http.Request) error {
	t, b, _, err := s.tableAsked(r)
	if err != nil {
		return err
	}
	ix, err := s.look(r.Context())
	if err != nil {
		return err
	}
	f := newFilter(r)
	q := f.search("any cell")
	var rows []bookRow
	for _, row := range bookRows(t, b) {
		if within(q, row.cells...) {
			rows = append(rows, row)
		}
	}
	may := flow.MayEdit(who(r).Role, t.Name)
	l := bookList(t, editor(t, may))
	if done, err := l.exported(w, r, rows); done {
		return err
	}
	page := &bookTableView{frame: s.frame(r, ix, "Shop book"), Table: t.Name, Note: t.Note, Filter: f, List: l.table(r, rows).filteredBy(f),
		History: "/book/history?" + query("table", t.Name), Columns: columnNotes(t)}
	page.tell(r, rowAt(t, b, r.URL.Query().Get("saved")) >= 0)
	if may {
		page.New = "/book/" + t.Name + "/row"
	}
	return s.render(w, r, http.StatusOK, "booktable", page)
}

// tell says which row was saved or removed just now; there tells whether the row is in the table.
func (p *bookTableView) tell(r *http.Request, there bool) {
	q := r.URL.Query()
	switch key := q.Get("saved"); {
	case key != "" && there:
		p.Says, p.Row = "Saved: "+strings.TrimLeft(key, " /")+".", "/book/"+p.Table+"/row?"+query("key", key)
	case q.Get("removed") != "":
		p.Says = "Removed: " + strings.TrimLeft(q.Get("removed"), " /") + "."
	}
}

// tableAsked gives the table that the address names, with the stored book and its revision.
func (s *Server) tableAsked(r *http.Request) (*book.Table, *book.Book, int64, error) {
	t, ok := book.TableNamed(r.PathValue("table"))
	if !ok {
		return nil, nil, 0, fault.New(fault.NotFound, "There is no table %q in the shop book.", r.PathValue("table"))
	}
	b, revision, err := s.shop.Book(r.Context())
	return t, b, revision, err
}

func bookRows(t *book.Table, b *book.Book) []bookRow {
	rows := make([]bookRow, t.Len(b))
	for i := range rows {
		cells := t.Cells(b, i)
		rows[i] = bookRow{key: t.KeyOf(cells), cells: cells}
	}
	return rows
}

// editor gives where a row is edited, or nil if it may not be.
func editor(t *book.Table, may bool) func(bookRow) string {
	if !may {
		return nil
	}
	return func(row bookRow) string { return "/book/" + t.Name + "/row?" + query("key", row.key) }
}

func bookList(t *book.Table, href func(bookRow) string) *list[bookRow] {
	l := &list[bookRow]{name: t.Name, one: "row", many: "rows", empty: "No row matches, or the table is empty."}
	for i := range t.Columns {
		c := &t.Columns[i]
		numeric := c.Kind == book.Number || c.Kind == book.Whole || c.Kind == book.Quantity || c.Kind == book.Money
		l.columns = append(l.columns, column[bookRow]{key: c.Name, title: columnTitle(c), number: numeric, wide: c.Kind == book.Formula, cell: func(row bookRow) cell {
			out := text(row.cells[i])
			out.Code = c.Kind == book.Wall || c.Kind == book.Day
			if n, err := strconv.ParseFloat(row.cells[i], 64); numeric && err == nil {
				out = number(n, row.cells[i])
			}
			if i == 0 && href != nil {
				out.Href = href(row)
				if out.Text == "" {
					out.Text = "row"
				}
			}
			return out
		}})
	}
	return l
}

func columnTitle(c *book.Column) string {
	title := strings.ReplaceAll(c.Name, "_", " ")
	if c.Unit != "" {
		title += ", " + c.Unit
	}
	return title
}

func columnNotes(t *book.Table) []columnNote {
	var out []columnNote
	for i := range t.Columns {
		c := &t.Columns[i]
		n := columnNote{Name: c.Name, Kind: string(c.Kind), Meaning: c.Note, Default: c.Default}
		if len(c.Enum) > 0 {
			n.Kind = strings.Join(c.Enum, ", ")
		}
		if c.Ref != "" {
			n.Kind += ", of the table " + c.Ref
		}
		out = append(out, n)
	}
	return out
}

// bookHistoryView lists changes of the book, newest first.
type bookHistoryView struct {
	frame
	Head   string
	Filter *filter // nil where the address names a table, a row or an act already
	List   table
}

// bookChange is one cell of a row that was added, changed or removed.
type bookChange struct {
	c      flow.Change
	column string
	before string
	after  string
}

func (s *Server) bookHistoryPage(w http.ResponseWriter, r *http.Request) error {
	q := r.URL.Query()
	act, _ := strconv.ParseInt(q.Get("act"), 10, 64)
	changes, err := s.shop.History(r.Context(), flow.HistoryFilter{Table: q.Get("table"), Key: q.Get("key"), Act: act, Limit: 2000})
	if err != nil {
		return err
	}
	ix, err := s.look(r.Context())
	if err != nil {
		return err
	}
	var rows []bookChange
	var f *filter
	word := ""
	if q.Get("table") == "" && q.Get("act") == "" {
		f = newFilter(r)
		word = f.search("table, row, who, value")
	}
	for _, c := range changes {
		for _, cell := range cellsChanged(c) {
			if within(word, c.Table, c.Key, c.Who, cell.column, cell.before, cell.after) {
				rows = append(rows, cell)
			}
		}
	}
	l := historyList(s.bookZone(ix))
	if done, err := l.exported(w, r, rows); done {
		return err
	}
	head := "What changed"
	if q.Get("table") != "" {
		head = "What changed in " + q.Get("table")
	}
	page := &bookHistoryView{frame: s.frame(r, ix, "Shop book"), Head: head, Filter: f, List: l.table(r, rows)}
	if f != nil {
		page.List = page.List.filteredBy(f)
	}
	return s.render(w, r, http.StatusOK, "bookhistory", page)
}

// cellsChanged gives the cells in which before and after differ; a row added or removed is one line.
func cellsChanged(c flow.Change) []bookChange {
	t, ok := book.TableNamed(c.Table)
	if !ok || c.Before == nil || c.After == nil {
		return []bookChange{{c: c, before: strings.Join(filled(c.Before), ", "), after: strings.Join(filled(c.After), ", ")}}
	}
	var out []bookChange
	for i := range t.Columns {
		if i < len(c.Before) && i < len(c.After) && c.Before[i] != c.After[i] {
			out = append(out, bookChange{c: c, column: t.Columns[i].Name, before: c.Before[i], after: c.After[i]})
		}
	}
	return out
}

func filled(cells []string) []string {
	var out []string
	for _, c := range cells {
		if c != "" {
			out = append(out, c)
		}
	}
	return out
}

func historyList(loc *time.Location) *list[bookChange] {
	return &list[bookChange]{name: "history", one: "change", many: "changes", empty: "Nothing has changed.",
		columns: []column[bookChange]{
			{key: "at", title: "When", cell: func(c bookChange) cell { return at(c.c.At, loc).under(c.c.Who) }},
			{key: "table", title: "Table", cell: func(c bookChange) cell { return link(c.c.Table, "/book/"+c.c.Table) }},
			{key: "row", title: "Row", cell: func(c bookChange) cell { return text(c.c.Key) }},
			{key: "column", title: "Column", cell: func(c bookChange) cell {
				switch {
				case c.c.Before == nil:
					return text("row added")
				case c.c.After == nil:
					return text("row removed")
				}
				return text(c.column)
			}},
			{key: "before", title: "Before", wide: true, cell: func(c bookChange) cell { return text(c.before) }},
			{key: "after", title: "After", wide: true, cell: func(c bookChange) cell { return text(c.after) }},
		}}
}

// bookZone is the zone in which the book's history is read: that of the first plant.
func (s *Server) bookZone(ix *index) *time.Location {
	if ix == nil {
		return time.UTC
	}
	return ix.first
}
