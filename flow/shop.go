package flow

import (
	"context"
	"database/sql"
	"errors"
	"log/slog"
	"sync"
	"sync/atomic"
	"time"

	"github.com/riverqueue/river"

	"tackline/book"
	"tackline/plant"
	"tackline/store"
)

// Options of a Shop.
type Options struct {
	Clock     func() time.Time // nil: time.Now
	SignInMin time.Duration    // least time that a refused sign-in takes; 0: 400 ms, negative: none
	People    []NewUser        // made on a store without users, in the place of the administrator
	Log       *slog.Logger     // what the background work reports; nil: nothing
}

// Shop is the running program: the stored book, its plans and people, and what is derived from them, held in memory. It is
// safe for concurrent use. What its methods return is shared and must not be changed, unless they say otherwise.
type Shop struct {
	store *store.Store
	clock func() time.Time
	log   *slog.Logger

	edit   sync.Mutex // one change of the book at a time
	loaded atomic.Pointer[loadedBook]
	views  *viewCache
	runs   *runTable
	queue  *river.Client[*sql.Tx]
	guard  *signInGuard
	first  atomic.Pointer[NewUser]

	background sync.WaitGroup
	stop       context.CancelFunc // ends background work
	life       context.Context
}

// loadedBook is the stored book as last read. It is never changed.
type loadedBook struct {
	book     *book.Book
	revision int64
}

// Open starts a shop on a store. On a store without users it makes an administrator; see FirstSignIn.
func Open(ctx context.Context, s *store.Store, o Options) (*Shop, error) {
	if o.Clock == nil {
		o.Clock = time.Now
	}
	if o.Log == nil {
		o.Log = slog.New(slog.DiscardHandler)
	}
	shop := &Shop{store: s, clock: o.Clock, log: o.Log, views: newViewCache(), runs: newRunTable(), guard: newSignInGuard(o.SignInMin)}
	shop.life, shop.stop = context.WithCancel(context.WithoutCancel(ctx))
	if err := shop.firstUsers(ctx, o.People); err != nil {
		return nil, err
	}
	if err := shop.startQueue(ctx); err != nil {
		return nil, err
	}
	return shop, nil
}

// Close stops the planning runs and the background work. The store stays open.
func (s *Shop) Close() error {
	ctx, cancel := context.WithTimeout(context.Background(), 20*time.Second)
	defer cancel()
	s.stop()
	err := s.stopQueue(ctx)
	s.background.Wait()
	return err
}

// Store gives the store that the shop stands on (for sessions).
func (s *Shop) Store() *store.Store { return s.store }

// Clock gives the time by the shop's clock.
func (s *Shop) Clock() time.Time { return s.clock() }

func (s *Shop) now() plant.Time { return plant.At(s.clock()) }

// Book gives the stored book and its revision. The book of a new store is empty and has revision 0.
func (s *Shop) Book(ctx context.Context) (*book.Book, int64, error) {
	l, err := s.load(ctx)
	if err != nil {
		return nil, 0, err
	}
	return l.book, l.revision, nil
}

// load gives the stored book, from memory if it has not moved.
func (s *Shop) load(ctx context.Context) (*loadedBook, error) {
	revision, err := s.store.Revision(ctx)
	if err != nil {
		return nil, err
	}
	if l := s.loaded.Load(); l != nil && l.revision == revision {
		return l, nil
	}
	b, revision, err := s.store.Book(ctx)
	if err != nil {
		return nil, err
	}
	l := &loadedBook{b, revision}
	s.loaded.Store(l)
	return l, nil
}

// Now gives the instant that planning starts from: the setting plan_from if set, else the clock.
func (s *Shop) Now(ctx context.Context) (plant.Time, error) {
	b, _, err := s.Book(ctx)
	if err != nil {
		return 0, err
	}
	return StartOf(b, s.now())
}

// spawn runs f in the background until the shop closes.
func (s *Shop) spawn(what string, f func(ctx context.Context) error) {
	s.background.Go(func() {
		if err := f(s.life); err != nil && !errors.Is(err, context.Canceled) {
			s.log.Warn(what, "error", err)
		}
	})
}
