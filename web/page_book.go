package web

import (
	"archive/zip"
	"bytes"
	"errors"
	"io"
	"net/http"
	"strconv"
	"strings"

	"tackline/book"
	"tackline/exchange"
	"tackline/fault"
	"tackline/flow"
)

// largestImport bounds an uploaded workbook, in bytes.
const largestImport = 48 << 20

// bookView is the front of the Shop book: its tables, import and export, and what was done to it lately.
type bookView struct {
	frame
	Revision int64
	Groups   []bookGroup
	Acts     []bookAct
	May      bool // may import
	Taken    string
	File     string // refused
	Faults   fault.List
	More     int // faults beyond those shown
}

// bookGroup is some tables that belong together.
type bookGroup struct {
	Title  string
	Tables []bookTableLine
}

type bookTableLine struct {
	Name, Note, Href string
	Rows             int
}

type bookAct struct {
	At              moment
	Who, Note, Href string
}

// bookGroups is the order of the tables on the sheet; every table of the book stands in one of them (a test sees to it).
var bookGroups = []struct {
	title  string
	tables []string
}{
	{"Orders", []string{"orders", "lines", "classes"}},
	{"Products", []string{"items", "attributes", "options", "rules", "parts", "operations", "crews", "able", "programs", "drawings"}},
	{"Works", []string{"plants", "calendars", "shifts", "exceptions", "centres", "stations", "setups", "transits", "settings"}},
	{"People", []string{"pools", "people", "qualifications", "absences"}},
	{"Planned by hand", []string{"pins", "forbids", "splits", "priorities"}},
	{"Stock and floor", []string{"lots", "receipts", "releases", "work", "finished"}},
}

func (s *Server) bookPage(w http.ResponseWriter, r *http.Request) error {
	page, err := s.bookFront(r)
	if err != nil {
		return err
	}
	if q := r.URL.Query().Get("taken"); q != "" {
		page.Taken = "The workbook is taken in: " + q + " rows. Plan again to use it."
	}
	return s.render(w, r, http.StatusOK, "book", page)
}

func (s *Server) bookFront(r *http.Request) (*bookView, error) {
	b, revision, err := s.shop.Book(r.Context())
	if err != nil {
		return nil, err
	}
	ix, err := s.look(r.Context())
	if err != nil {
		return nil, err
	}
	page := &bookView{frame: s.frame(r, ix, "Shop book"), Revision: revision, May: flow.May(who(r).Role, flow.MayImport)}
	for _, g := range bookGroups {
		group := bookGroup{Title: g.title}
		for _, name := range g.tables {
			if t, ok := book.TableNamed(name); ok {
				group.Tables = append(group.Tables, bookTableLine{Name: name, Note: t.Note, Href: "/book/" + name, Rows: t.Len(b)})
			}
		}
		page.Groups = append(page.Groups, group)
	}
	acts, err := s.shop.Acts(r.Context(), 12)
	if err != nil {
		return nil, err
	}
	for _, a := range acts {
		page.Acts = append(page.Acts, bookAct{At: momentOf(a.At, s.bookZone(ix)), Who: a.Who, Note: a.Note, Href: "/book/history?" + query("act", strconv.FormatInt(a.ID, 10))})
	}
	return page, nil
}

// importAct takes an uploaded workbook, or a zip or several files of CSV, in the place of the whole book. Any fault, and
// nothing is changed.
func (s *Server) importAct(w http.ResponseWriter, r *http.Request) error {
	name, body, err := uploaded(r)
	var b *book.Book
	var origin book.Origin
	if err == nil {
		b, origin, err = exchange.CheckWorkbook(bytes.NewReader(body))
	}
	if err == nil {
		err = s.shop.ImportBook(r.Context(), actor(r), b, origin)
	}
	if k := fault.KindOf(err); k == fault.Internal || k == fault.Denied {
		return err
	}
	if err == nil {
		http.Redirect(w, r, "/book?"+query("taken", strconv.Itoa(rowsIn(b))), http.StatusSeeOther)
		return nil
	}
	page, front := s.bookFront(r)
	if front != nil {
		return front
	}
	const most = 300
	page.File, page.Faults = name, fault.All(err)
	if len(page.Faults) > most {
		page.More, page.Faults = len(page.Faults)-most, page.Faults[:most]
	}
	return s.render(w, r, http.StatusUnprocessableEntity, "book", page)
}

func rowsIn(b *book.Book) int {
	n := 0
	for _, t := range book.Tables() {
		n += t.Len(b)
	}
	return n
}

func uploaded(r *http.Request) (name string, body []byte, err error) {
	file, head, err := r.FormFile("workbook")
	if errors.Is(err, http.ErrMissingFile) {
		return "", nil, fault.New(fault.Invalid, "Choose a workbook first.")
	}
	if err != nil {
		return "", nil, fault.New(fault.Invalid, "The upload did not arrive whole; try again with a file below %d MB.", largestImport>>20)
	}
	defer file.Close()
	if head.Size > largestImport {
		return "", nil, fault.New(fault.Invalid, "%s has %d MB; the largest that is taken is %d MB.", head.Filename, head.Size>>20, largestImport>>20)
	}
	if !strings.EqualFold(suffix(head.Filename), ".xlsx") {
		return "", nil, fault.New(fault.Invalid, "%s is not a workbook: expected a file ending in .xlsx. Folders of CSV go in by the command tackline import.", head.Filename)
	}
	body, err = io.ReadAll(file)
	return head.Filename, body, err
}

func suffix(name string) string {
	if i := strings.LastIndexByte(name, '.'); i >= 0 {
		return name[i:]
	}
	return ""
}

// exportBook sends the whole book as a workbook.
func (s *Server) exportBook(w http.ResponseWriter, r *http.Request) error {
	b, _, err := s.shop.Book(r.Context())
	if err != nil {
		return err
	}
	return sendWorkbook(w, "shop-book.xlsx", func(to io.Writer) error { return exchange.WriteWorkbook(to, b) })
}

// templateBook sends an empty workbook with notes and examples.
func (s *Server) templateBook(w http.ResponseWriter, r *http.Request) error {
	return sendWorkbook(w, "template.xlsx", exchange.WriteTemplate)
}

// exportCSV sends the whole book as a zip of CSV files.
func (s *Server) exportCSV(w http.ResponseWriter, r *http.Request) error {
	b, _, err := s.shop.Book(r.Context())
	if err != nil {
		return err
	}
	var out bytes.Buffer
	z := zip.NewWriter(&out)
	for _, t := range book.Tables() {
		f, err := z.Create(t.Name + ".csv")
		if err != nil {
			return err
		}
		rows := bookRows(&t, b)
		if err := bookList(&t, nil).writeCSV(f, rows); err != nil {
			return err
		}
	}
	if err := z.Close(); err != nil {
		return err
	}
	w.Header().Set("Content-Type", "application/zip")
	w.Header().Set("Content-Disposition", `attachment; filename="shop-book.zip"`)
	_, err = w.Write(out.Bytes())
	return err
}

func sendWorkbook(w http.ResponseWriter, name string, write func(io.Writer) error) error {
	var out bytes.Buffer
	if err := write(&out); err != nil {
		return err
	}
	w.Header().Set("Content-Type", "application/vnd.openxmlformats-officedocument.spreadsheetml.sheet")
	w.Header().Set("Content-Disposition", `attachment; filename="`+name+`"`)
	_, err := w.Write(out.Bytes())
	return err
}
