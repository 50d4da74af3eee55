package web

import (
	"net/http"

	"tackline/floor"
	"tackline/plant"
)

// badgesView is a sheet of codes to print: badges of people, or signs of stations.
type badgesView struct {
	frame
	Stations bool
	Filter   *filter
	Cards    []badge
	Count    string
	Clear    string
}

// badge is one card: what it names, in words and as a code.
type badge struct {
	Name, Under, Number string
	Code                scanCode
}

func personCode(id plant.PersonID) (scanCode, error) {
	return bars(floor.Code(floor.CodePerson, string(id)))
}

// mostCards bounds the cards of one sheet, so that a large shop book does not make one that no browser prints.
const mostCards = 400

func (s *Server) badgesPage(w http.ResponseWriter, r *http.Request) error {
	rows, err := s.pinRows(r)
	if err != nil {
		return err
	}
	f := newFilter(r)
	q := f.search("name, number")
	pool := f.choose("pool", "Pool", "all pools", choicesOf(rows, func(x pinRow) (string, string) { return string(x.Pool), x.pool }))
	squares := f.choose("as", "Code", "bars", []choice{{Value: "square", Title: "square"}}) == "square"
	page := &badgesView{}
	for _, x := range rows {
		if (pool == "" || pool == string(x.Pool)) && within(q, x.Name, string(x.ID)) {
			page.add(badge{Name: x.Name, Under: x.pool, Number: string(x.ID)}, floor.Code(floor.CodePerson, string(x.ID)), squares)
		}
	}
	return s.showBadges(w, r, page, f, "Badges", "badge", "badges")
}

func (s *Server) stationCodesPage(w http.ResponseWriter, r *http.Request) error {
	p, err := s.places(r.Context())
	if err != nil {
		return err
	}
	f := newFilter(r)
	q := f.search("name, number")
	site := f.choose("plant", "Plant", "all plants", choicesOf(p.book.Plants, func(x plant.Plant) (string, string) { return string(x.ID), x.Name }))
	squares := f.choose("as", "Code", "bars", []choice{{Value: "square", Title: "square"}}) == "square"
	page := &badgesView{Stations: true}
	for i := range p.book.Stations {
		st := &p.book.Stations[i]
		if (site == "" || site == string(p.plantOf[st.ID])) && within(q, st.Name, string(st.ID)) {
			page.add(badge{Name: st.Name, Under: p.plant(p.plantOf[st.ID]), Number: string(st.ID)}, floor.Code(floor.CodeStation, string(st.ID)), squares)
		}
	}
	return s.showBadges(w, r, page, f, "Codes of stations", "sign", "signs")
}

// add puts a card on the sheet. A text too long for any code leaves the card without one.
func (p *badgesView) add(b badge, code string, squares bool) {
	if len(p.Cards) >= mostCards {
		return
	}
	var err error
	if squares {
		b.Code, err = square(code, squareModule)
	} else {
		b.Code, err = bars(code)
	}
	if err != nil {
		b.Under = "The number is too long for a code."
	}
	p.Cards = append(p.Cards, b)
}

func (s *Server) showBadges(w http.ResponseWriter, r *http.Request, page *badgesView, f *filter, title, one, many string) error {
	page.frame, page.Filter, page.Count = s.frame(r, nil, title), f, count(len(page.Cards), one, many)
	if f.Set {
		page.Clear = f.all()
	}
	return s.render(w, r, http.StatusOK, "badges", page)
}
