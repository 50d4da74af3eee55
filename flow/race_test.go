package flow_test

import (
	"fmt"
	"sync"
	"sync/atomic"
	"testing"

	"tackline/fault"
	"tackline/flow"
)

// Many people at once: some edit, some look, some plan, adopt and discard. Nothing acknowledged is lost. Run with -race.
func TestManyAtOnce(t *testing.T) {
	shop := newShop(t, small())
	first := draft(t, shop, "first")
	var edits atomic.Int64
	var wg sync.WaitGroup
	for w := range 3 {
		wg.Go(func() {
			for i := range 8 {
				b, rev, err := shop.Book(ctx)
				if err != nil {
					t.Error(err)
					return
				}
				tab := table(t, "lots")
				row := with(t, "lots", tab.Cells(b, i%2), "place", fmt.Sprintf("place %d of %d", i, w))
				switch err := shop.EditRow(ctx, boss, "lots", tab.KeyOf(row), row, rev); fault.KindOf(err) {
				case 0:
					edits.Add(1)
				case fault.Conflict:
				default:
					t.Error(err)
				}
			}
		})
		wg.Go(func() {
			for range 8 {
				v, err := shop.Current(ctx)
				if err != nil || v == nil || len(v.Broken) != 0 || len(v.Why) != 3 {
					t.Errorf("the current view: %v", err)
					return
				}
				if _, err := shop.Plans(ctx); err != nil {
					t.Error(err)
				}
				if _, err := shop.History(ctx, flow.HistoryFilter{Limit: 5}); err != nil {
					t.Error(err)
				}
			}
		})
	}
	var runs []int64
	for i := range 3 {
		runs = append(runs, start(t, shop, flow.PlanRequest{Name: fmt.Sprint("plan ", i), Work: 50, Workers: 2}))
	}
	must(t, shop.Adopt(ctx, boss, first))
	plans := []int64{}
	for _, run := range runs {
		plans = append(plans, until(t, shop, run, over).PlanID)
	}
	must(t, shop.Discard(ctx, boss, plans[0]))
	must(t, shop.Adopt(ctx, boss, plans[1]))
	wg.Wait()
	if n := revision(t, shop); n != 1+edits.Load() {
		t.Errorf("revision %d after an import and %d edits", n, edits.Load())
	}
	list, err := shop.History(ctx, flow.HistoryFilter{})
	must(t, err)
	if int64(len(list)) != edits.Load() {
		t.Errorf("%d changes in the history, %d were acknowledged", len(list), edits.Load())
	}
}
