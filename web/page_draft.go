package web

import (
	"cmp"
	"encoding/json"
	"net/http"
	"net/url"
	"strconv"
	"strings"

	"tackline/assume"
	"tackline/book"
	"tackline/fault"
	"tackline/flow"
	"tackline/order"
	"tackline/plant"
	"tackline/product"
	"tackline/stock"
)

// draftView is the form for a draft: what it shall assume, one assumption at a time. The list stands in the address, so the
// form works without script, and an address sent to a colleague shows the same list.
type draftView struct {
	frame
	Assumed []assumedLine
	Stored  []string // the list as JSON, to be sent on
	Kinds   []kindChoice
	Kind    *kindForm // the one being filled in; nil: none is chosen
	Faults  fault.List
	Name    string
	Seconds string
	Clear   string
}

// assumedLine is an assumption of the list.
type assumedLine struct {
	Sentence, Without string // the address of the list without it
	Wrong             bool
}

type kindChoice struct {
	Title, Href string
	On          bool
}

type kindForm struct {
	Kind, Title, Note string
	Fields            []rowField
}

// listOf reads the assumptions in an address or a form.
func listOf(values url.Values) ([]assume.Assumption, error) {
	var list []assume.Assumption
	for i, text := range values["a"] {
		var a assume.Assumption
		if err := json.Unmarshal([]byte(text), &a); err != nil {
			return nil, fault.New(fault.Invalid, "Assumption %d cannot be read. Begin the draft again from the Plan sheet.", i+1)
		}
		list = append(list, a)
	}
	return list, nil
}

// texts writes a list as listOf reads it.
func texts(list []assume.Assumption) []string {
	out := make([]string, len(list))
	for i := range list {
		text, _ := json.Marshal(list[i]) // strings and numbers always marshal
		out[i] = string(text)
	}
	return out
}

// draftHref gives the address of the form with a list and a kind.
func draftHref(list []assume.Assumption, kind assume.Kind) string {
	q := url.Values{}
	for _, text := range texts(list) {
		q.Add("a", text)
	}
	if kind != "" {
		q.Set("kind", string(kind))
	}
	if len(q) == 0 {
		return "/plan/new"
	}
	return "/plan/new?" + q.Encode()
}

// newDraftPage shows the form, and adds the assumption that it was filled in with.
func (s *Server) newDraftPage(w http.ResponseWriter, r *http.Request) error {
	q := r.URL.Query()
	list, err := listOf(q)
	if err != nil {
		return err
	}
	if from := q.Get("from"); from != "" {
		if list, err = s.assumedBy(r, from); err != nil {
			return err
		}
		http.Redirect(w, r, draftHref(list, ""), http.StatusSeeOther)
		return nil
	}
	if q.Get("add") == "" {
		return s.showDraft(w, r, http.StatusOK, list, nil)
	}
	a, faults := assume.Read(assume.Kind(q.Get("kind")), func(name string) string { return q.Get("f." + name) })
	if len(faults) == 0 {
		b, _, err := s.shop.Book(r.Context())
		if err != nil {
			return err
		}
		more := append(list, a)
		if _, err := flow.Assume(b, more); err == nil {
			http.Redirect(w, r, draftHref(more, ""), http.StatusSeeOther)
			return nil
		} else if faults = fault.All(err); fault.KindOf(err) == fault.Internal {
			return err
		}
		for _, f := range faults { // the place of one that is being added says nothing
			if f.Row == len(more) {
				f.Table, f.Row = "", 0
			}
		}
	}
	return s.showDraft(w, r, http.StatusUnprocessableEntity, list, faults)
}

// assumedBy gives the assumptions of a stored plan.
func (s *Server) assumedBy(r *http.Request, text string) ([]assume.Assumption, error) {
	id, err := planNumber(text)
	if err != nil {
		return nil, err
	}
	rows, err := s.shop.Plans(r.Context())
	if err != nil {
		return nil, err
	}
	for _, p := range rows {
		if p.ID == id {
			return p.Assumed, nil
		}
	}
	return nil, fault.New(fault.NotFound, "There is no plan %q.", text)
}

func (s *Server) showDraft(w http.ResponseWriter, r *http.Request, code int, list []assume.Assumption, faults fault.List) error {
	b, _, err := s.shop.Book(r.Context())
	if err != nil {
		return err
	}
	ix, err := s.look(r.Context())
	if err != nil {
		return err
	}
	now, err := s.shop.Now(r.Context())
	if err != nil {
		return err
	}
	page := &draftView{frame: s.frame(r, ix, "Plan"), Faults: faults, Stored: texts(list), Name: r.FormValue("name"), Seconds: r.FormValue("seconds")}
	page.PlanNote = ""
	if page.Seconds == "" {
		page.Seconds = "10"
	}
	for i, a := range list {
		less := append(append([]assume.Assumption{}, list[:i]...), list[i+1:]...)
		line := assumedLine{Sentence: assume.Sentence(b, a, now), Without: draftHref(less, "")}
		for _, f := range faults {
			line.Wrong = line.Wrong || f.Table == "assumptions" && f.Row == i+1
		}
		page.Assumed = append(page.Assumed, line)
	}
	if len(list) > 0 {
		page.Clear = "/plan/new"
	}
	kind := assume.Kind(r.FormValue("kind"))
	for _, shape := range assume.Shapes() {
		page.Kinds = append(page.Kinds, kindChoice{shape.Title, draftHref(list, shape.Kind) + "#fields", shape.Kind == kind})
	}
	if shape, ok := assume.ShapeOf(kind); ok {
		page.Kind = kindFields(shape, b, now, r.URL.Query(), faults)
	}
	return s.render(w, r, code, "draft", page)
}

// kindFields makes the fields of a kind: with what was typed, or with what is likely.
func kindFields(shape *assume.Shape, b *book.Book, now plant.Time, q url.Values, faults fault.List) *kindForm {
	form := &kindForm{Kind: string(shape.Kind), Title: shape.Title, Note: shape.Note}
	likely := likelyValues(shape.Kind, b, now)
	for _, f := range shape.Fields() {
		value := q.Get("f." + f.Name)
		if q.Get("add") == "" && value == "" {
			value = likely[f.Name]
		}
		rf := rowField{Name: f.Name, Label: f.Title, Value: value, Example: f.Example, Need: f.Need, Kind: "text"}
		switch {
		case f.Kind == book.Wall:
			rf.Kind = "time"
		case f.Kind == book.Whole || f.Kind == book.Quantity:
			rf.Kind = "number"
		case f.Ref == "orders" || f.Ref == "items" || f.Ref == "receipts":
			rf.Named = namesOf(f.Ref, shape.Kind, b)
		case f.Ref != "":
			rf.Kind = "choice"
			rf.Choices = append([]choice{{"", "none", value == ""}}, namesOf(f.Ref, shape.Kind, b)...)
			for i := range rf.Choices {
				rf.Choices[i].On = rf.Choices[i].Value == value
			}
		}
		if f.Name == "options" {
			rf.Help = optionsOf(b)
		}
		for _, wrong := range faults {
			if wrong.Column == f.Name && wrong.Table == "" {
				rf.Wrong = wrong.Says()
				break
			}
		}
		form.Fields = append(form.Fields, rf)
	}
	return form
}

// optionsOf says which options each product has, a line a product.
func optionsOf(b *book.Book) []string {
	var out []string
	for i := range b.Items {
		var parts []string
		for j := range b.Options {
			o := &b.Options[j]
			if o.Product != b.Items[i].ID || !b.Items[i].Product {
				continue
			}
			part := string(o.Option)
			switch {
			case o.Values != "":
				part += "=" + o.Values
			case o.Kind == "yes-no":
				part += "=yes|no"
			}
			if o.Default != "" {
				part += " (else " + o.Default + ")"
			}
			parts = append(parts, part)
		}
		if len(parts) > 0 {
			out = append(out, string(b.Items[i].ID)+": "+strings.Join(parts, "; "))
		}
	}
	return out
}

// likelyValues fills a form in with what is meant most often.
func likelyValues(k assume.Kind, b *book.Book, now plant.Time) map[string]string {
	if len(b.Plants) == 0 {
		return nil
	}
	ix, err := book.NewIndex(b)
	if err != nil {
		return nil
	}
	t := now.In(ix.Zone(b.Plants[0].ID))
	wall := func(days, hour int) string {
		return t.AddDate(0, 0, days).Format("2006-01-02") + "T" + plant.Clock(hour*60).String()
	}
	saturday := (6 - int(t.Weekday()) + 7) % 7
	if saturday == 0 {
		saturday = 7
	}
	switch k {
	case assume.StationDown, assume.Away:
		return map[string]string{"from": t.Format("2006-01-02T15:04"), "to": wall(1, 0)}
	case assume.Overtime:
		return map[string]string{"from": wall(saturday, 6), "to": wall(saturday, 12), "heads": "1"}
	case assume.ExtraShift:
		return map[string]string{"days": "sat", "hours": "06:00-14:00", "from": wall(1, 0), "to": wall(29, 0)}
	case assume.ExtraPeople:
		return map[string]string{"heads": "1", "from": wall(1, 0), "to": wall(15, 0)}
	case assume.OrderAdded:
		return map[string]string{"order": nextOrder(b), "quantity": "1", "at": wall(42, 16)}
	case assume.DueMoved, assume.ReceiptMoved, assume.DeliveryAdded, assume.WorkHeld:
		return map[string]string{"at": wall(7, 10)}
	}
	return nil
}

// nextOrder gives a number that no order has: one above the largest.
func nextOrder(b *book.Book) string {
	most := 0
	for i := range b.Orders {
		if n, err := strconv.Atoi(string(b.Orders[i].ID)); err == nil && n < 1e9 {
			most = max(most, n)
		}
	}
	return strconv.Itoa(most + 1)
}

// namesOf gives the rows of a table that a field may name, with what people call them.
func namesOf(table string, k assume.Kind, b *book.Book) []choice {
	switch table {
	case "stations":
		return named(b.Stations, func(x *plant.Station) (string, string) { return string(x.ID), x.Name })
	case "calendars":
		return named(b.Calendars, func(x *plant.Calendar) (string, string) { return string(x.ID), x.Name })
	case "pools":
		return named(b.Pools, func(x *plant.Pool) (string, string) { return string(x.ID), x.Name })
	case "people":
		return named(b.People, func(x *plant.Person) (string, string) { return string(x.ID), x.Name + " (" + string(x.Pool) + ")" })
	case "classes":
		return named(b.Classes, func(x *order.Class) (string, string) { return string(x.ID), x.Name })
	case "orders":
		return named(b.Orders, func(x *order.Order) (string, string) { return string(x.ID), x.Customer })
	case "receipts":
		return named(b.Receipts, func(x *stock.Receipt) (string, string) {
			return string(x.ID), x.Quantity.String() + " " + string(x.Item) + ", expected " + string(x.Expected)
		})
	case "items":
		return named(b.Items, func(x *product.Item) (string, string) {
			if k == assume.OrderAdded && !x.Product || k == assume.DeliveryAdded && x.Kind == product.Made && x.Product {
				return "", ""
			}
			return string(x.ID), x.Name
		})
	}
	return nil
}

// named gives rows as choices in their order, called by their IDs where they have no name; rows without an ID are left out.
func named[T any](rows []T, of func(*T) (id, name string)) []choice {
	var out []choice
	for i := range rows {
		if id, name := of(&rows[i]); id != "" {
			out = append(out, choice{Value: id, Title: cmp.Or(name, id)})
		}
	}
	return out
}
