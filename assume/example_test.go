package assume_test

import (
	"fmt"

	"tackline/assume"
	"tackline/book/booktest"
)

// A copy of the book in which a robot is down and an order line is dropped; the book itself stays as it is.
func ExampleApply() {
	b := booktest.Small()
	list := []assume.Assumption{
		{Kind: assume.StationDown, Station: "robot-1", From: "2026-11-30T06:00", To: "2026-12-02T12:00", Reason: "drive"},
		{Kind: assume.OrderDropped, Order: "1001", Line: 2},
	}
	changed, err := assume.Apply(b, list)
	if err != nil {
		fmt.Println(err)
		return
	}
	for _, a := range list {
		fmt.Println(assume.Sentence(b, a, now))
	}
	fmt.Println(len(b.Exceptions), "exceptions before,", len(changed.Exceptions), "after; line 2 was", b.Lines[1].State, "and is", changed.Lines[1].State)
	_, err = assume.Apply(b, []assume.Assumption{{Kind: assume.ReceiptMoved, Receipt: "R-2", At: "2026-12-04T10:00"}})
	fmt.Println(err)
	// Output:
	// Robot 1 is down from Mon 30 Nov 06:00 to Wed 2 Dec 12:00 (drive).
	// Order 1001, line 2 for Harbour yard is dropped.
	// 2 exceptions before, 3 after; line 2 was open and is cancelled
	// assumptions row 1, receipt: found "R-2"; expected one of the receipts in the shop book; did you mean "R-1"?
}
