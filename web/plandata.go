package web

import (
	"bytes"
	"compress/gzip"
	"encoding/json"
	"fmt"
	"io"
	"net/http"
	"sort"
	"strconv"
	"sync"

	"tackline/book"
	"tackline/flow"
	"tackline/needs"
	"tackline/plant"
	"tackline/schedule"
	"tackline/setout"
)

// planData is the Plan sheet's drawing as numbers: src/plan/data.ts reads it. Bars are columns of equal length, so that
// thousands of them are small on the way and quick to read.
type planData struct {
	Zone     string        `json:"zone"`
	Now      int64         `json:"now"`
	From     int64         `json:"from"`
	To       int64         `json:"to"`
	Stations []planStation `json:"stations"`
	Open     [][]int64     `json:"open"`   // open time by calendar: from, to, from, to, ...
	States   []hatchName   `json:"states"` // what Bars.State points to
	Names    []string      `json:"names"`
	Items    []string      `json:"items"`
	Jobs     []string      `json:"jobs"`
	Units    []planUnit    `json:"units"`
	Able     [][]int       `json:"able"` // lists of stations; what Bars.Able points to
	Bars     planBars      `json:"bars"`
}

type hatchName struct {
	Pattern string `json:"pattern"`
	Word    string `json:"word"`
}

type planStation struct {
	ID     string `json:"id"`
	Name   string `json:"name"`
	Centre string `json:"centre"`
	Open   int    `json:"open"`
	Lanes  int    `json:"lanes"`
	Load   bool   `json:"load"` // several things at once: lanes are thin
}

type planUnit struct {
	ID    string `json:"id"`
	Late  bool   `json:"late"`
	Title string `json:"title"`
}

// planBars is one bar an operation. Unit is -1 for jobs made to stock.
type planBars struct {
	Station []int   `json:"station"`
	Lane    []int   `json:"lane"`
	State   []int   `json:"state"`
	Name    []int   `json:"name"`
	Item    []int   `json:"item"`
	Job     []int   `json:"job"`
	Unit    []int   `json:"unit"`
	Seq     []int   `json:"seq"`
	Setup   []int64 `json:"setup"`
	Run     []int64 `json:"run"`
	End     []int64 `json:"end"`
	Able    []int   `json:"able"` // the stations that it can be moved to by hand; -1: it stays where it is
	Hand    []int   `json:"hand"` // what is planned by hand: onStation, atTime, notThere, added up
}

// What is planned by hand for an operation, as planBars.Hand says it.
const (
	onStation = 1 << iota
	atTime
	notThere
)

// drawings keeps the plan drawings last asked for, ready to send.
type drawings struct {
	mu   sync.Mutex
	made map[*flow.View][]byte
}

// planDrawing answers with the drawing of a plan.
func (s *Server) planDrawing(w http.ResponseWriter, r *http.Request) error {
	ix, err := s.planAsked(r)
	if err != nil {
		return err
	}
	if ix == nil {
		return errNoSheet
	}
	body, err := s.drawings.of(ix)
	if err != nil {
		return err
	}
	w.Header().Set("Content-Type", "application/json")
	w.Header().Set("Cache-Control", "private, no-store")
	if acceptsGzip(r) {
		w.Header().Set("Content-Encoding", "gzip")
	} else if body, err = unzipped(body); err != nil {
		return err
	}
	_, err = w.Write(body)
	return err
}

func (d *drawings) of(ix *index) ([]byte, error) {
	d.mu.Lock()
	defer d.mu.Unlock()
	if body := d.made[ix.view]; body != nil {
		return body, nil
	}
	plain, err := json.Marshal(drawPlan(ix))
	if err != nil {
		return nil, err
	}
	if d.made == nil || len(d.made) >= keptViews {
		d.made = map[*flow.View][]byte{}
	}
	d.made[ix.view] = gzipped(plain)
	return d.made[ix.view], nil
}

func drawPlan(ix *index) *planData {
	v := ix.view
	d := &planData{Zone: ix.first.String(), Now: int64(v.Problem.Now), From: int64(v.Problem.Now), To: int64(v.Problem.Now) + 24*3600}
	for u := range v.Needs.Units {
		id := v.Needs.Units[u].ID
		d.Units = append(d.Units, planUnit{ID: string(id), Late: ix.rows[u].isLate(), Title: ix.itemName(v.Needs.Units[u].Product) + ", " + v.Needs.Units[u].Customer})
	}
	for j := range v.Needs.Jobs {
		d.Jobs = append(d.Jobs, string(v.Needs.Jobs[j].ID))
	}
	d.bars(ix)
	d.stations(ix)
	return d
}

func (d *planData) bars(ix *index) {
	names, items, states, able := numbering{}, numbering{}, numbering{}, numbering{}
	b := &d.Bars
	for op := range ix.view.Needs.Ops {
		sl, ok := ix.slot(op)
		if !ok || sl.End < ix.view.Problem.Now.Add(-48*3600) {
			continue
		}
		job := ix.job(op)
		state := ix.opState(op)
		si := states.of(state.Word)
		if si == len(d.States) {
			d.States = append(d.States, hatchName(state))
		}
		unit := job.Unit
		if unit == needs.None {
			unit = -1
		}
		b.Station = append(b.Station, sl.Station)
		b.State = append(b.State, si)
		b.Name = append(b.Name, names.of(ix.op(op).Name))
		b.Item = append(b.Item, items.of(job.Name+pieces(job.Pieces)))
		b.Job = append(b.Job, ix.op(op).Job)
		b.Unit = append(b.Unit, unit)
		b.Seq = append(b.Seq, ix.op(op).Seq)
		b.Setup = append(b.Setup, int64(min(sl.Setup, sl.Load)))
		b.Run = append(b.Run, int64(sl.Load))
		b.End = append(b.End, int64(sl.End))
		b.Able = append(b.Able, d.ableOf(ix, op, &able))
		b.Hand = append(b.Hand, ix.byHand(op))
		d.From, d.To = min(d.From, int64(sl.Setup)), max(d.To, int64(sl.End))
	}
	d.Names, d.Items = names.list, items.list
}

// ableOf gives the number of the list of stations that an operation can be moved to.
func (d *planData) ableOf(ix *index, op int, lists *numbering) int {
	if ix.view.Problem.Ops[op].State != schedule.ToPlan {
		return -1
	}
	o := ix.op(op)
	key := string(o.Centre) + "/" + fmt.Sprint(o.Able)
	n := lists.of(key)
	if n == len(d.Able) {
		list := []int{}
		for _, id := range setout.StationsOf(ix.book, o) {
			for i := range ix.view.Problem.Stations {
				if ix.view.Problem.Stations[i].ID == id {
					list = append(list, i)
				}
			}
		}
		d.Able = append(d.Able, list)
	}
	return n
}

// byHand says what is planned by hand for an operation.
func (ix *index) byHand(op int) int {
	if ix.view.Problem.Ops[op].State != schedule.ToPlan {
		return 0
	}
	key := book.JobOp{Job: ix.job(op).ID, Seq: ix.op(op).Seq}
	flags := 0
	if p := ix.book.Pins[key]; p != nil {
		if p.Station != "" {
			flags |= onStation
		}
		if p.Begin != "" {
			flags |= atTime
		}
	}
	if len(ix.book.ForbidsOf[key]) > 0 {
		flags |= notThere
	}
	return flags
}

// handText says in words that an operation is pinned; "" if it is not.
func (ix *index) handText(op int) string {
	switch ix.byHand(op) & (onStation | atTime) {
	case onStation:
		return "pinned to its station"
	case atTime:
		return "pinned at its time"
	case onStation | atTime:
		return "pinned to its station, at its time"
	}
	return ""
}

func pieces(n int) string {
	if n == 1 {
		return ""
	}
	return ", " + strconv.Itoa(n) + " pieces"
}

// stations lists the stations with their open time and gives each bar a lane in which nothing overlaps it.
func (d *planData) stations(ix *index) {
	p := ix.view.Problem
	calendars := numbering{}
	for i := range p.Stations {
		st := &p.Stations[i]
		key := string(ix.book.Stations[st.ID].Calendar) + "/" + closureKey(ix, st.ID)
		at := calendars.of(key)
		if at == len(d.Open) {
			d.Open = append(d.Open, openWithin(st, plant.Time(d.From), plant.Time(d.To)))
		}
		d.Stations = append(d.Stations, planStation{ID: string(st.ID), Name: st.Name, Centre: ix.centreName(ix.book.Stations[st.ID].Centre), Open: at,
			Lanes: 1, Load: st.Takes != schedule.One})
	}
	d.lanes()
}

// closureKey tells stations with exceptions of their own apart.
func closureKey(ix *index, id plant.StationID) string {
	if len(ix.book.Closures[id]) == 0 {
		return ""
	}
	return string(id)
}

func openWithin(st *schedule.Station, from, to plant.Time) []int64 {
	out := []int64{}
	for _, s := range st.Open.Spans() {
		if s.To > from && s.From < to {
			out = append(out, int64(max(s.From, from)), int64(min(s.To, to)))
		}
	}
	return out
}

// lanes puts each bar into the first lane of its station that is free at its begin.
func (d *planData) lanes() {
	b := &d.Bars
	order := make([]int, len(b.Setup))
	for i := range order {
		order[i] = i
	}
	sort.SliceStable(order, func(i, j int) bool { return b.Setup[order[i]] < b.Setup[order[j]] })
	b.Lane = make([]int, len(order))
	free := make([][]int64, len(d.Stations)) // by station and lane: when it is free again
	for _, i := range order {
		st := b.Station[i]
		lane := 0
		for lane < len(free[st]) && free[st][lane] > b.Setup[i] {
			lane++
		}
		if lane == len(free[st]) {
			free[st] = append(free[st], 0)
		}
		free[st][lane], b.Lane[i] = b.End[i], lane
		d.Stations[st].Lanes = max(d.Stations[st].Lanes, lane+1)
	}
}

// numbering gives equal texts equal numbers, from 0 on.
type numbering struct {
	list []string
	at   map[string]int
}

func (n *numbering) of(s string) int {
	if i, ok := n.at[s]; ok {
		return i
	}
	if n.at == nil {
		n.at = map[string]int{}
	}
	n.at[s] = len(n.list)
	n.list = append(n.list, s)
	return len(n.list) - 1
}

func gzipped(plain []byte) []byte {
	var b bytes.Buffer
	z := gzip.NewWriter(&b)
	_, _ = z.Write(plain) // writing to memory does not fail
	_ = z.Close()
	return b.Bytes()
}

func unzipped(body []byte) ([]byte, error) {
	z, err := gzip.NewReader(bytes.NewReader(body))
	if err != nil {
		return nil, err
	}
	return io.ReadAll(z)
}
