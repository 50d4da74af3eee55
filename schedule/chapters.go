package schedule

import (
	"cmp"
	"slices"
	"strings"

	"tackline/plant"
)

// Chapter is a part of an explanation for reading: segments of one operation that follow each other, all of them work on
// it, or all of them waiting for it to begin or go on. Closed time belongs to what it interrupts.
type Chapter struct {
	From, To plant.Time
	Op       int     // operation concerned, or None
	Behind   int     // operation that is longest in the way, or None
	Shares   []Share // what the time went to, in the order in which it first did; they add up to To - From
	First, N int     // its segments are Segments[First:First+N] of the explanation
	What     string  // in words, what most of the time that is not closed went to: "behind job 4127 on pallet mill 2"
	Text     string  // in words, the shares too: "waits for the station 3.9 days, shop closed 3.3 days: behind job 4127 on pallet mill 2"
}

// Share is the time that goes to one reason.
type Share struct {
	Reason Reason
	Time   plant.Seconds
}

// Chapters folds an explanation: a wait of five days behind three jobs, which every night cuts in pieces, is one chapter.
// Chapters follow each other from the first segment to the ship date without gap or overlap.
func Chapters(e *Explanation) []Chapter {
	var out []Chapter
	for from := 0; from < len(e.Segments); {
		n := chapterEnd(e.Segments, from)
		out = append(out, chapter(e.Segments[from:n], from))
		from = n
	}
	return out
}

// atWork says that an operation goes on in a segment.
func atWork(r Reason) bool {
	return r == Working || r == SettingUp || r == Drying || r == AwayWork
}

// chapterEnd gives the end of the chapter that begins with segment from. Closed time before work begins is waiting, but at
// the begin of a chapter it takes the side of what follows.
func chapterEnd(segments []Segment, from int) int {
	side, known := false, false
	for i := from; i < len(segments); i++ {
		s := &segments[i]
		switch {
		case s.Op != segments[from].Op:
			return i
		case s.Reason == ShopClosed:
		case !known:
			side, known = atWork(s.Reason), true
		case atWork(s.Reason) != side:
			return i
		}
	}
	return len(segments)
}

func chapter(segments []Segment, first int) Chapter {
	c := Chapter{From: segments[0].From, To: segments[len(segments)-1].To, Op: segments[0].Op, Behind: None, First: first, N: len(segments)}
	behind, texts := map[int]plant.Seconds{}, map[string]plant.Seconds{}
	for i := range segments {
		s := &segments[i]
		length := s.To.Sub(s.From)
		at := slices.IndexFunc(c.Shares, func(x Share) bool { return x.Reason == s.Reason })
		if at < 0 {
			at = len(c.Shares)
			c.Shares = append(c.Shares, Share{Reason: s.Reason})
		}
		c.Shares[at].Time += length
		if s.Behind != None {
			if behind[s.Behind] += length; c.Behind == None || behind[s.Behind] > behind[c.Behind] {
				c.Behind = s.Behind
			}
		}
		if s.Reason != ShopClosed && s.Text != "" {
			texts[s.Text] += length
		}
	}
	c.What = what(texts)
	c.Text = c.words()
	return c
}

// what gives the text that takes most of the time.
func what(texts map[string]plant.Seconds) string {
	longest := ""
	for text, d := range texts {
		if longest == "" || cmp.Or(cmp.Compare(d, texts[longest]), cmp.Compare(longest, text)) > 0 {
			longest = text
		}
	}
	if len(texts) > 1 {
		return "mostly " + longest
	}
	return longest
}

func (c *Chapter) words() string {
	var parts []string
	for _, s := range c.Shares {
		parts = append(parts, string(s.Reason)+" "+roughly(s.Time))
	}
	out := strings.Join(parts, ", ")
	if c.What != "" {
		out += ": " + c.What
	}
	return out
}
