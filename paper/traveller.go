package paper

import (
	"bytes"
	"fmt"
	"image/png"
	"io"
	"strconv"
	"strings"
	"time"

	"github.com/boombuler/barcode"
	"github.com/boombuler/barcode/qr"
	"github.com/go-pdf/fpdf"

	"tackline/dispatch"
	"tackline/floor"
	"tackline/flow"
	"tackline/needs"
	"tackline/plant"
	"tackline/schedule"
)

// Traveller writes the paper that goes with a job: what it is, where it goes, and for each operation its station and time in the plan,
// program, fixture and drawing with revisions, kit, cautions, a code to scan, and room to sign. job is an index of v.Needs.Jobs.
func Traveller(w io.Writer, v *flow.View, job int, drawn time.Time) error {
	j := &v.Needs.Jobs[job]
	loc := v.Index.Zone(j.Plant)
	t := &traveller{v: v, loc: loc, sheet: newSheet(title{Plant: plantName(v, j.Plant), Sheet: "Traveller", Subject: string(j.ID),
		Plan: strconv.FormatInt(v.PlanID, 10) + ", " + v.State, By: v.By, Drawn: drawn.In(loc)})}
	t.kits = map[int]*dispatch.Kit{}
	for i := range v.Kits {
		t.kits[v.Kits[i].Op] = &v.Kits[i]
	}
	t.head(j)
	for _, op := range j.Ops {
		if err := t.operation(op); err != nil {
			return err
		}
	}
	return t.finish(w)
}

type traveller struct {
	*sheet
	v    *flow.View
	loc  *time.Location
	kits map[int]*dispatch.Kit
}

func plantName(v *flow.View, id plant.ID) string {
	if p := v.Index.Plants[id]; p != nil {
		return p.Name
	}
	return string(id)
}

// head says what the job makes, how many, for whom and by when.
func (t *traveller) head(j *needs.Job) {
	t.SetFont("go", "B", 16)
	t.CellFormat(inner, 8, t.fitted(j.Name, inner), "", 1, "L", false, 0, "")
	t.SetFont("go", "", 10)
	line := fmt.Sprintf("job %s, item %s, %s", j.ID, j.Item, pieces(j.Pieces))
	if j.Need < j.Pieces {
		line += fmt.Sprintf(" (%d good ones needed)", j.Need)
	}
	if j.Set {
		line += ", a set: keep together"
	}
	t.MultiCell(inner, 5, line, "", "L", false)
	if j.Unit != needs.None {
		u := &t.v.Needs.Units[j.Unit]
		t.MultiCell(inner, 5, fmt.Sprintf("for unit %s, %s, due %s", u.ID, u.Customer, t.when(u.Due)), "", "L", false)
	}
	if j.Parent != needs.None {
		p := &t.v.Needs.Jobs[j.Parent]
		t.MultiCell(inner, 5, fmt.Sprintf("goes into job %s, %s", p.ID, p.Name), "", "L", false)
	}
	t.Ln(3)
}

func pieces(n int) string {
	if n == 1 {
		return "1 piece"
	}
	return strconv.Itoa(n) + " pieces"
}

// codeSize is the side of a code in mm: read by hand scanners at arm's length.
const codeSize = 22.0

// operation draws one operation: on the left its code, beside it what is done, below it room to sign.
func (t *traveller) operation(op int) error {
	o := &t.v.Needs.Ops[op]
	facts := t.facts(op)
	notes := t.notes(op)
	t.SetFont("go", "", 8.5)
	h := 8 + 4.2*float64(len(facts)) + 3
	for _, n := range notes {
		h += 4 * float64(len(t.SplitText(n, inner-codeSize-8)))
	}
	h = max(h, codeSize+6) + 9
	t.room(h)
	x, y := t.GetXY()
	t.SetLineWidth(thick)
	t.Rect(x, y, inner, h-2, "D")
	t.SetLineWidth(thin)
	if err := t.code(op, x+inner-codeSize-2, y+2); err != nil {
		return err
	}
	t.SetXY(x+2, y+1.5)
	t.SetFont("go", "B", 12)
	t.CellFormat(inner-codeSize-8, 6, t.fitted(strconv.Itoa(o.Seq)+"  "+o.Name, inner-codeSize-8), "", 1, "L", false, 0, "")
	for _, f := range facts {
		t.SetX(x + 2)
		t.SetFont("go", "", 7)
		t.CellFormat(20, 4.2, f[0], "", 0, "L", false, 0, "")
		t.SetFont("go", "B", 8.5)
		t.CellFormat(inner-codeSize-28, 4.2, t.fitted(f[1], inner-codeSize-28), "", 1, "L", false, 0, "")
	}
	t.SetFont("go", "", 8.5)
	for _, n := range notes {
		t.SetX(x + 2)
		t.MultiCell(inner-codeSize-8, 4, n, "", "L", false)
	}
	t.sign(x, y+h-9)
	t.SetXY(x, y+h)
	return nil
}

// sign draws room for who did it, when, and how it came out.
func (t *traveller) sign(x, y float64) {
	t.Line(x, y, x+inner, y)
	at := x
	for _, f := range []struct {
		name  string
		width float64
	}{{"begun", 30}, {"done", 30}, {"good", 18}, {"to repair", 18}, {"scrap", 18}, {"by", 0}} {
		t.SetFont("go", "", 6)
		t.Text(at+1, y+2.5, f.name)
		if f.width > 0 {
			at += f.width
			t.Line(at, y, at, y+7)
		}
	}
}

// code draws the code of an operation, and below it what it says.
func (t *traveller) code(op int, x, y float64) error {
	o := &t.v.Needs.Ops[op]
	text := OpCode(t.v.Needs.Jobs[o.Job].ID, o.Seq)
	c, err := qr.Encode(text, qr.M, qr.Auto)
	if err != nil {
		return fmt.Errorf("code of operation %d: %w", o.Seq, err)
	}
	if c, err = barcode.Scale(c, 8*c.Bounds().Dx(), 8*c.Bounds().Dx()); err != nil {
		return fmt.Errorf("code of operation %d: %w", o.Seq, err)
	}
	var b bytes.Buffer
	if err := png.Encode(&b, c); err != nil {
		return err
	}
	t.RegisterImageOptionsReader(text, fpdf.ImageOptions{ImageType: "PNG"}, &b)
	t.ImageOptions(text, x, y, codeSize, codeSize, false, fpdf.ImageOptions{ImageType: "PNG"}, 0, "")
	return t.Error()
}

// OpCode is the scan code of an operation on a traveller.
func OpCode(job plant.JobID, seq int) string {
	return floor.Code(floor.CodeOp, string(job)+" "+strconv.Itoa(seq))
}

// facts gives what the plan and the routes say of an operation: name and value, empty ones left out.
func (t *traveller) facts(op int) (out [][2]string) {
	o := &t.v.Needs.Ops[op]
	add := func(name, value string) {
		if value != "" {
			out = append(out, [2]string{name, value})
		}
	}
	if s := t.v.Plan.Slots[op]; s.Station != schedule.None {
		add("station", t.v.Problem.Stations[s.Station].Name)
		add("planned", t.when(s.Load)+" to "+t.when(s.End))
	} else {
		add("station", "not planned")
	}
	if p := t.v.Index.Programs[o.Program]; p != nil {
		add("program", string(o.Program)+" rev "+p.Revision+approved(p.Approved))
	} else {
		add("program", string(o.Program))
	}
	add("fixture", o.Fixture)
	if d := t.v.Index.Drawings[o.Drawing]; d != nil {
		add("drawing", string(o.Drawing)+" rev "+d.Revision+approved(d.Approved))
	} else {
		add("drawing", string(o.Drawing))
	}
	if o.Hold {
		add("hold point", "nothing goes on until this is signed")
	}
	return out
}

func approved(yes bool) string {
	if yes {
		return ""
	}
	return ", NOT APPROVED: do not use"
}

// notes gives what is to be known of an operation: its note, its kit, and the cautions of the work.
func (t *traveller) notes(op int) (out []string) {
	o := &t.v.Needs.Ops[op]
	if o.Note != "" {
		out = append(out, o.Note)
	}
	if k := t.kits[op]; k != nil {
		var parts []string
		for _, l := range k.Lines {
			parts = append(parts, fmt.Sprintf("%s %s %s (%s)", l.Qty, l.Unit, l.Name, l.Source))
		}
		out = append(out, "Kit: "+strings.Join(parts, "; "))
	}
	for _, c := range needs.Cautions(t.v.Index, t.v.Needs, op) {
		out = append(out, "Caution: "+c)
	}
	return out
}

func (t *traveller) when(at plant.Time) string {
	if at >= plant.Never {
		return "not known"
	}
	return at.Day(t.loc, t.v.Problem.Now) + at.In(t.loc).Format(" 15:04")
}
