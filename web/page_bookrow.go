package web

import (
	"net/http"
	"sort"
	"strconv"
	"strings"

	"tackline/book"
	"tackline/fault"
	"tackline/flow"
)

// bookRowView is the form of one row: the same columns, the same checks and the same words as the workbook.
type bookRowView struct {
	frame
	Table   string
	Key     string // "" adds a row
	Base    int64  // revision of the book that the form shows
	Fields  []rowField
	Faults  fault.List
	May     bool
	History string
}

// rowField is one column of the row.
type rowField struct {
	Name, Label, Value, Note, Default, Example string
	Kind                                       string // text, number, choice, area, time
	Choices                                    []choice
	Suggest                                    []string // names that the value may be
	Named                                      []choice // the same with what people call them
	Help                                       []string // what can be written, unfolded when asked for
	Need                                       bool
	Wrong                                      string // what is wrong with this cell
}

func (s *Server) bookRowPage(w http.ResponseWriter, r *http.Request) error {
	t, b, revision, err := s.tableAsked(r)
	if err != nil {
		return err
	}
	key := r.URL.Query().Get("key")
	cells := make([]string, len(t.Columns))
	if key != "" {
		at := rowAt(t, b, key)
		if at < 0 {
			return fault.New(fault.NotFound, "There is no row %q in %s; it may have been changed or removed.", key, t.Name)
		}
		cells = t.Cells(b, at)
	}
	return s.showRow(w, r, http.StatusOK, s.rowForm(r, t, b, key, revision, cells))
}

func rowAt(t *book.Table, b *book.Book, key string) int {
	for i := range t.Len(b) {
		if t.Key(b, i) == key {
			return i
		}
	}
	return -1
}

func (s *Server) showRow(w http.ResponseWriter, r *http.Request, code int, page *bookRowView) error {
	ix, err := s.look(r.Context())
	if err != nil {
		return err
	}
	page.frame = s.frame(r, ix, "Shop book")
	return s.render(w, r, code, "bookrow", page)
}

func (s *Server) rowForm(r *http.Request, t *book.Table, b *book.Book, key string, base int64, cells []string) *bookRowView {
	page := &bookRowView{Table: t.Name, Key: key, Base: base, May: flow.MayEdit(who(r).Role, t.Name),
		History: "/book/history?" + query("table", t.Name, "key", key)}
	for i := range t.Columns {
		page.Fields = append(page.Fields, fieldOf(&t.Columns[i], b, cells[i]))
	}
	return page
}

func fieldOf(c *book.Column, b *book.Book, value string) rowField {
	f := rowField{Name: c.Name, Label: columnTitle(c), Value: value, Note: c.Note, Default: c.Default, Example: c.Example, Need: c.Need, Kind: "text"}
	options := c.Enum
	if c.Kind == book.YesNo {
		options = []string{"yes", "no"}
	}
	switch {
	case len(options) > 0:
		f.Kind = "choice"
		if value == "" {
			f.Value = c.Default
		}
		if !c.Need && c.Default == "" {
			options = append([]string{""}, options...)
		}
		for _, o := range options {
			f.Choices = append(f.Choices, choice{Value: o, Title: o, On: o == f.Value})
		}
	case c.Kind == book.Formula:
		f.Kind = "area"
	case c.Ref != "":
		f.Suggest = keysOf(c.Ref, b)
	}
	return f
}

// keysOf gives the first key cells of a table, each once, in order.
func keysOf(name string, b *book.Book) []string {
	t, ok := book.TableNamed(name)
	if !ok {
		return nil
	}
	seen := map[string]bool{}
	var out []string
	for i := range t.Len(b) {
		if k := t.Cells(b, i)[0]; !seen[k] {
			seen[k] = true
			out = append(out, k)
		}
	}
	sort.Strings(out)
	return out
}

// saveRowAct adds or changes a row. A row that is refused comes back as it was typed, with what is wrong beside each cell.
func (s *Server) saveRowAct(w http.ResponseWriter, r *http.Request) error {
	t, b, _, err := s.tableAsked(r)
	if err != nil {
		return err
	}
	key := r.PostFormValue("row")
	base, err := strconv.ParseInt(r.PostFormValue("base"), 10, 64)
	if err != nil {
		return fault.New(fault.Invalid, "The form came without its revision. Open the row again.")
	}
	cells := make([]string, len(t.Columns))
	for i := range t.Columns {
		cells[i] = strings.TrimSpace(r.PostFormValue("c." + t.Columns[i].Name))
	}
	if r.PostFormValue("act") == "remove" {
		err = s.shop.DeleteRow(r.Context(), actor(r), t.Name, key, base)
	} else {
		err = s.shop.EditRow(r.Context(), actor(r), t.Name, key, cells, base)
	}
	switch fault.KindOf(err) {
	case 0:
		told := "saved"
		if r.PostFormValue("act") == "remove" {
			told = "removed"
		}
		http.Redirect(w, r, "/book/"+t.Name+"?"+query(told, t.KeyOf(cells)), http.StatusSeeOther)
		return nil
	case fault.Invalid, fault.Conflict:
		page := s.rowForm(r, t, b, key, base, cells)
		page.refuse(fault.All(err), t.Name)
		return s.showRow(w, r, http.StatusUnprocessableEntity, page)
	}
	return err
}

// refuse puts faults of this table's columns beside their cells and keeps all of them above the form.
func (p *bookRowView) refuse(faults fault.List, table string) {
	p.Faults = faults
	for i := range p.Fields {
		for _, f := range faults {
			if f.Column == p.Fields[i].Name && (f.Table == table || f.Table == "") {
				p.Fields[i].Wrong = f.Says()
				break
			}
		}
	}
}
