package book_test

import (
	"testing"

	"tackline/book"
	"tackline/book/booktest"
)

func TestSmallBookPasses(t *testing.T) {
	if faults := book.Check(booktest.Small(), nil); len(faults) > 0 {
		t.Fatalf("the small book should pass:\n%v", faults)
	}
	if faults := book.Check(booktest.Large(200, 100), nil); len(faults) > 0 {
		t.Fatalf("the large book should pass:\n%v", faults)
	}
}

func BenchmarkCheck(b *testing.B) {
	large := booktest.Large(2000, 30000)
	for b.Loop() {
		if faults := book.Check(large, nil); len(faults) > 0 {
			b.Fatal(faults)
		}
	}
}
