package flow

import (
	"context"
	"sync"
	"tackline/dispatch"

	"tackline/book"
	"tackline/fault"
	"tackline/schedule"
	"tackline/store"
)

// viewKey says what a view was made from. adopted is the adopted plan, against which moves are counted.
type viewKey struct{ plan, revision, adopted int64 }

// viewsKept is how many views are held: the current one, and a few drafts compared with it.
const viewsKept = 6

// viewCache holds the latest views. Each is made once, however many ask for it at the same time.
type viewCache struct {
	mu    sync.Mutex
	held  map[viewKey]*heldView
	order []viewKey // least lately used first
}

type heldView struct {
	ready chan struct{} // closed when view or err is set
	view  *View
	err   error
}

func newViewCache() *viewCache { return &viewCache{held: map[viewKey]*heldView{}} }

// get gives the view of a key, or makes it. A making that failed is not kept.
func (c *viewCache) get(ctx context.Context, k viewKey, make func() (*View, error)) (*View, error) {
	h, mine := c.reserve(k)
	if mine {
		h.err = fault.New(fault.Internal, "The view could not be made.") // stands if make panics
		defer func() {
			close(h.ready)
			if h.err != nil {
				c.forget(k)
			}
		}()
		h.view, h.err = make()
		return h.view, h.err
	}
	select {
	case <-h.ready:
		return h.view, h.err
	case <-ctx.Done():
		return nil, ctx.Err()
	}
}

func (c *viewCache) reserve(k viewKey) (h *heldView, mine bool) {
	c.mu.Lock()
	defer c.mu.Unlock()
	c.touch(k)
	if h, ok := c.held[k]; ok {
		return h, false
	}
	h = &heldView{ready: make(chan struct{})}
	c.held[k] = h
	for len(c.order) > viewsKept {
		delete(c.held, c.order[0])
		c.order = c.order[1:]
	}
	return h, true
}

// touch makes k the most lately used.
func (c *viewCache) touch(k viewKey) {
	c.drop(k)
	c.order = append(c.order, k)
}

func (c *viewCache) drop(k viewKey) {
	for i, o := range c.order {
		if o == k {
			c.order = append(c.order[:i:i], c.order[i+1:]...)
			return
		}
	}
}

func (c *viewCache) forget(k viewKey) {
	c.mu.Lock()
	defer c.mu.Unlock()
	delete(c.held, k)
	c.drop(k)
}

// forgetPlan drops every view of a plan that is gone.
func (c *viewCache) forgetPlan(plan int64) {
	c.mu.Lock()
	defer c.mu.Unlock()
	for k := range c.held {
		if k.plan == plan {
			delete(c.held, k)
			c.drop(k)
		}
	}
}

// Current gives the view of the adopted plan, else of the newest draft, else nil.
func (s *Shop) Current(ctx context.Context) (*View, error) {
	current, adopted, err := s.store.CurrentPlan(ctx)
	if err != nil || current == 0 {
		return nil, err
	}
	return s.viewOf(ctx, current, adopted)
}

// ViewOf gives the view of a stored plan against the book as it is now. Where the book has changed since the plan was made,
// operations without a slot are among Plan.Left, and Broken says what does not fit any more.
func (s *Shop) ViewOf(ctx context.Context, planID int64) (*View, error) {
	_, adopted, err := s.store.CurrentPlan(ctx)
	if err != nil {
		return nil, err
	}
	return s.viewOf(ctx, planID, adopted)
}

func (s *Shop) viewOf(ctx context.Context, plan, adopted int64) (*View, error) {
	l, err := s.load(ctx)
	if err != nil {
		return nil, err
	}
	// The making goes on if this request goes away: others may wait for it.
	making := context.WithoutCancel(ctx)
	return s.views.get(ctx, viewKey{plan, l.revision, adopted}, func() (*View, error) { return s.makeView(making, l, plan, adopted) })
}

func (s *Shop) makeView(ctx context.Context, l *loadedBook, planID, adoptedID int64) (*View, error) {
	stored, err := s.store.Plan(ctx, planID)
	if err != nil {
		return nil, err
	}
	adopted := stored
	if adoptedID == 0 {
		adopted = nil
	} else if adoptedID != planID {
		if adopted, err = s.store.Plan(ctx, adoptedID); err != nil {
			return nil, err
		}
	}
	b, assumed, unfit, err := l.forPlan(stored)
	if err != nil {
		return nil, err
	}
	f, err := frameFor(b, stored, adopted)
	if err != nil {
		return nil, err
	}
	v := Derive(f, planOf(f, stored))
	v.Assumed, v.Unfit = assumed, unfit
	v.desk = sync.OnceValue(func() *dispatch.Desk { return dispatch.NewDesk(v.Index, v.Needs, v.Problem, v.Plan, v.Kits) })
	v.PlanID, v.Revision, v.State, v.Name, v.By, v.Made = stored.ID, stored.Revision, stored.State, stored.Name, stored.By, stored.Made
	return v, nil
}

// frameFor sets the book out as it was set out for a stored plan: from the same instant, with what the plan settled, as
// far as the plan reaches.
func frameFor(b *book.Book, p, adopted *store.Plan) (*Framed, error) {
	facts, err := factsOf(p)
	if err != nil {
		return nil, err
	}
	f, err := frameAt(b, p.Now, p.Pegs, facts)
	if err != nil {
		return nil, err
	}
	if f, err = f.Until(lastEnd(p)); err != nil {
		return nil, err
	}
	f.Problem.Adopted = adoptedSlots(f, adopted)
	return f, nil
}

// adoptedSlots gives the adopted plan by operation, nil without one.
func adoptedSlots(f *Framed, adopted *store.Plan) []schedule.Slot {
	if adopted == nil {
		return nil
	}
	slots, _ := slotsOf(f, adopted)
	return slots
}

// warm makes the current view in the background, so that the next who asks need not wait.
func (s *Shop) warm() {
	s.spawn("make the current view", func(ctx context.Context) error {
		_, err := s.Current(ctx)
		return err
	})
}

// Plans gives the stored plans, the newest first.
func (s *Shop) Plans(ctx context.Context) ([]PlanRow, error) {
	revision, err := s.store.Revision(ctx)
	if err != nil {
		return nil, err
	}
	list, err := s.store.Plans(ctx)
	if err != nil {
		return nil, err
	}
	out := make([]PlanRow, len(list))
	for i := range list {
		out[i] = planRow(&list[i], revision)
	}
	return out, nil
}
