package plant

import (
	"fmt"
	"math"
	"strconv"
	"strings"
	"time"
)

// Identifiers. They are names people type, unique within their table, and never mixed with each other.
type (
	ID          string // a plant
	CalendarID  string // a weekly pattern of shifts with its exceptions
	CentreID    string // a work centre: a set of interchangeable stations
	StationID   string // one machine, bench, booth, rack or subcontractor
	Family      string // a setup family: operations of one family follow each other without a changeover
	PoolID      string // a crew pool: people by skill
	PersonID    string // a person
	Qualifying  string // a qualification, such as a welder's
	ItemID      string // an item: made, bought, bar, tube
	OptionID    string // an option of a product
	ProgramID   string // a machine or robot program
	DrawingID   string // a drawing
	LotID       string // a lot in stock
	ReceiptID   string // a receipt expected
	OrderID     string // an order
	ClassID     string // an order class
	UnitID      string // one thing a customer gets
	JobID       string // make a quantity of an item
	MeasureUnit string // a unit of measure: ea, kg, g, m, mm, m2, l, h
	Formula     string // a CEL expression that gives a number or a yes/no; see package formula
	Pattern     string // text in which {expression} is replaced by the value of a CEL expression
)

// Seconds is a duration. Time is an instant: seconds since 1970-01-01T00:00:00Z.
type (
	Seconds int64
	Time    int64
)

// Never is a time after every horizon.
const Never Time = math.MaxInt64 / 4

// Hours gives d as a decimal number of hours.
func (d Seconds) Hours() float64 { return float64(d) / 3600 }

// Minutes gives d as a decimal number of minutes.
func (d Seconds) Minutes() float64 { return float64(d) / 60 }

// MinutesToSeconds rounds m minutes to whole seconds.
func MinutesToSeconds(m float64) Seconds { return Seconds(math.Round(m * 60)) }

// HoursToSeconds rounds h hours to whole seconds.
func HoursToSeconds(h float64) Seconds { return Seconds(math.Round(h * 3600)) }

// Add gives the instant d after t.
func (t Time) Add(d Seconds) Time { return t + Time(d) }

// Sub gives the time from u to t.
func (t Time) Sub(u Time) Seconds { return Seconds(t - u) }

// In shows t as a wall clock time in loc.
func (t Time) In(loc *time.Location) time.Time { return time.Unix(int64(t), 0).In(loc) }

// Day says the day of t for people who live at now: "Mon 30 Nov", and with the year where that day could be taken for one
// of another year, 300 days off or more.
func (t Time) Day(loc *time.Location, now Time) string {
	const far = 300 * 24 * 3600
	if d := t.Sub(now); d > far || d < -far {
		return t.In(loc).Format("Mon 2 Jan 2006")
	}
	return t.In(loc).Format("Mon 2 Jan")
}

// At converts a standard library time to an instant.
func At(t time.Time) Time { return Time(t.Unix()) }

// Qty is a quantity in thousandths of its unit of measure, so that sums are exact: 2.5 kg is 2500.
type Qty int64

// Pieces gives a quantity of n whole units.
func Pieces(n int) Qty { return Qty(n) * 1000 }

// QtyOf rounds a decimal quantity to thousandths.
func QtyOf(f float64) Qty { return Qty(math.Round(f * 1000)) }

// Float gives the quantity as a decimal number of units.
func (q Qty) Float() float64 { return float64(q) / 1000 }

// Ceil gives the smallest whole number of units not below q.
func (q Qty) Ceil() int { return int(math.Ceil(float64(q) / 1000)) }

// String shows the quantity without trailing zeros: 2500 is "2.5".
func (q Qty) String() string { return trimZeros(fmt.Sprintf("%.3f", q.Float())) }

// Money is an amount in hundredths of the currency that the plant keeps its books in.
type Money int64

// MoneyOf rounds a decimal amount to hundredths.
func MoneyOf(f float64) Money { return Money(math.Round(f * 100)) }

// Float gives the amount as a decimal number.
func (m Money) Float() float64 { return float64(m) / 100 }

// String shows the amount with two decimals.
func (m Money) String() string { return strconv.FormatFloat(m.Float(), 'f', 2, 64) }

func trimZeros(s string) string {
	if strings.Contains(s, ".") {
		s = strings.TrimRight(strings.TrimRight(s, "0"), ".")
	}
	if s == "-0" {
		return "0"
	}
	return s
}
