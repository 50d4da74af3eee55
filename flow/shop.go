package flow

import (
	"context"
	"database/sql"
	"errors"
	"log/slog"
	"runtime/debug"
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
	TrialSec  float64          // how long a trial of something done by hand searches; 0: 1 s
	Beside    bool             // works beside the program that plans: starts no planning runs, ends none, and need not be alone
	PINKey    string           // file that holds the key of the PINs; "": beside the database
	People    []NewUser        // made on a store without users, in the place of the administrator
	Log       *slog.Logger     // what the background work reports; nil: nothing
}

// Shop is the running program: the stored book, its plans and people, and what is derived from them, held in memory. It is
// safe for concurrent use. What its methods return is shared and must not be changed, unless they say otherwise.
type Shop struct {
	store *store.Store
	clock func() time.Time
	log   *slog.Logger

	edit     sync.Mutex // one change of the book at a time
	people   sync.Mutex // one change of the users at a time
	loaded   atomic.Pointer[loadedBook]
	views    *viewCache
	runs     *runTable
	trials   *trialTable
	asks     *askTable
	queue    *river.Client[*sql.Tx]
	guard    *signInGuard
	pins     *pinGuard
	recorder *recorder    // nil: works beside the program that serves the shop
	let      func() error // lets go of the store for another program that plans
	first    atomic.Pointer[NewUser]

	background sync.WaitGroup
	stop       context.CancelFunc // ends background work
	life       context.Context
}

// loadedBook is the stored book as last read. The book is never changed.
type loadedBook struct {
	book     *book.Book
	revision int64

	indexOnce sync.Once // see Shop.bookIndex
	index     *book.Index
	indexErr  error
}

// Open starts a shop on a store. On a store without users it makes an administrator; see FirstSignIn. Only one shop that
// plans may be open on a store; a second one gets a Conflict, unless it works Beside.
func Open(ctx context.Context, s *store.Store, o Options) (*Shop, error) {
	if o.Clock == nil {
		o.Clock = time.Now
	}
	if o.Log == nil {
		o.Log = slog.New(slog.DiscardHandler)
	}
	if o.TrialSec == 0 {
		o.TrialSec = trialSeconds
	}
	shop := &Shop{store: s, clock: o.Clock, log: o.Log, views: newViewCache(), runs: newRunTable(), trials: &trialTable{seconds: o.TrialSec}, asks: newAskTable(), guard: newSignInGuard(o.SignInMin), pins: newPINGuard(s, o.PINKey)}
	shop.life, shop.stop = context.WithCancel(context.WithoutCancel(ctx))
	err := shop.firstUsers(ctx, o.People)
	if err == nil && !o.Beside {
		err = shop.startQueue(ctx)
	}
	if err == nil && !o.Beside {
		err = shop.startRecorder(ctx)
	}
	if err != nil {
		return nil, errors.Join(err, shop.Close())
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
	if s.let != nil {
		err = errors.Join(err, s.let())
		s.let = nil
	}
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
	l := &loadedBook{book: b, revision: revision}
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

// spawn runs f in the background until the shop closes. A panic of f ends f, not the program.
func (s *Shop) spawn(what string, f func(ctx context.Context) error) {
	s.background.Go(func() {
		defer func() {
			if v := recover(); v != nil {
				s.log.Error(what, "panic", v, "stack", string(debug.Stack()))
			}
		}()
		if err := f(s.life); err != nil && !errors.Is(err, context.Canceled) {
			s.log.Warn(what, "error", err)
		}
	})
}
