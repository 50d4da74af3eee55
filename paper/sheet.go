package paper

import (
	"fmt"
	"io"
	"time"

	"github.com/go-pdf/fpdf"
	"golang.org/x/image/font/gofont/gobold"
	"golang.org/x/image/font/gofont/gomono"
	"golang.org/x/image/font/gofont/goregular"
)

// Sizes of an A4 sheet and its parts, in mm. Margins leave room for two punched holes on the left (ISO 838).
const (
	left, right, top, bottom = 20.0, 10.0, 10.0, 10.0
	width, height            = 210.0, 297.0
	inner                    = width - left - right
	blockHeight              = 22.0 // of the title block
	blockWidth               = 110.0
)

// Widths of lines, in mm, after ISO 128-2: thick for outlines, thin for all else.
const thick, thin = 0.5, 0.18

// title is what the title block of every page says.
type title struct {
	Plant, Sheet, Subject, Plan, By string
	Drawn                           time.Time
}

// sheet is a PDF with a frame and a title block on every page.
type sheet struct {
	*fpdf.Fpdf
	title title
}

// newSheet begins a paper.
func newSheet(t title) *sheet {
	s := &sheet{fpdf.New("P", "mm", "A4", ""), t}
	s.SetCreationDate(t.Drawn)
	s.SetModificationDate(t.Drawn)
	s.SetCatalogSort(true)
	s.SetTitle(t.Sheet+" "+t.Subject, true)
	s.SetProducer("Tackline", true)
	s.AddUTF8FontFromBytes("go", "", goregular.TTF)
	s.AddUTF8FontFromBytes("go", "B", gobold.TTF)
	s.AddUTF8FontFromBytes("mono", "", gomono.TTF)
	s.SetMargins(left, top, right)
	s.SetAutoPageBreak(true, bottom+blockHeight+3)
	s.AliasNbPages("{pages}")
	s.SetHeaderFunc(s.outline)
	s.SetFooterFunc(s.block)
	s.AddPage()
	return s
}

// outline draws the frame of a page.
func (s *sheet) outline() {
	s.SetLineWidth(thick)
	s.Rect(left-3, top-3, inner+6, height-top-bottom+6, "D")
	s.SetLineWidth(thin)
	s.SetXY(left, top)
}

// block draws the title block in the lower right corner.
func (s *sheet) block() {
	x, y := width-right+3-blockWidth, height-bottom+3-blockHeight
	s.SetLineWidth(thick)
	s.Rect(x, y, blockWidth, blockHeight, "D")
	s.SetLineWidth(thin)
	s.Line(x, y+9, x+blockWidth, y+9)
	s.Line(x+62, y, x+62, y+blockHeight)
	cell := func(dx, dy, w float64, name, value string, size float64) {
		s.SetFont("go", "", 6)
		s.Text(x+dx+1.5, y+dy+2.8, name)
		s.SetFont("go", "B", size)
		s.Text(x+dx+1.5, y+dy+7.2, s.fitted(value, w-3))
	}
	cell(0, 0, 62, "sheet", s.title.Sheet, 10)
	cell(0, 9.5, 62, "subject", s.title.Subject, 10)
	cell(62, 0, blockWidth-62, "plant", s.title.Plant, 9)
	cell(62, 9.5, blockWidth-62, "plan; drawn; by", fmt.Sprintf("%s; %s; %s", s.title.Plan, s.title.Drawn.Format("2 Jan 2006 15:04"), s.title.By), 6.5)
	s.SetFont("go", "", 7)
	s.Text(x+64, y+blockHeight-1.8, fmt.Sprintf("page %d of {pages}", s.PageNo()))
}

// fitted cuts a text that is wider than w, with a mark that it was cut.
func (s *sheet) fitted(text string, w float64) string {
	if s.GetStringWidth(text) <= w {
		return text
	}
	runes := []rune(text)
	for len(runes) > 0 && s.GetStringWidth(string(runes)+"…") > w {
		runes = runes[:len(runes)-1]
	}
	return string(runes) + "…"
}

// room begins a new page if there is less than h left.
func (s *sheet) room(h float64) {
	if s.GetY()+h > height-bottom-blockHeight-3 {
		s.AddPage()
	}
}

// finish writes the paper.
func (s *sheet) finish(w io.Writer) error {
	if err := s.Output(w); err != nil {
		return fmt.Errorf("write the paper: %w", err)
	}
	return nil
}
