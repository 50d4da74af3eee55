package formula

import (
	"sync"

	"github.com/google/cel-go/cel"

	"tackline/fault"
	"tackline/plant"
)

// Limits on a formula. They keep one formula to a few microseconds and a few kilobytes whatever is typed.
const (
	maxSource = 1000 // characters of a formula or pattern
	maxDepth  = 60   // parentheses and operators within each other
	maxNodes  = 400  // names, numbers, operators and calls
	maxText   = 500  // characters a pattern may give
	maxCached = 20000
	maxCost   = 20000 // units of the CEL cost model
)

// Limit is the bound of every number a formula gives: more than -Limit and less than Limit.
const Limit = 1e12

// Engine compiles formulas. It is safe for concurrent use and keeps what it compiled.
type Engine struct {
	env   *cel.Env
	funcs map[string]*Function

	mu    sync.RWMutex
	cache map[cacheKey]compiled
}

type cacheKey struct {
	kind   kind
	source string
}

type compiled struct {
	expr *Expr
	err  *fault.Fault
}

// New makes an engine with the functions that Functions lists. An error is a defect of the program.
func New() (*Engine, error) {
	e := &Engine{funcs: map[string]*Function{}, cache: map[cacheKey]compiled{}}
	list := Functions()
	for i := range list {
		e.funcs[list[i].Name] = &list[i]
	}
	env, err := cel.NewCustomEnv(environment(list)...)
	if err != nil {
		return nil, fault.New(fault.Internal, "formula engine: %v", err)
	}
	e.env = env
	return e, nil
}

// Number compiles a formula that gives a number. The error is a *fault.Fault.
func (e *Engine) Number(f plant.Formula) (*Expr, error) { return e.get(number, string(f)) }

// Condition compiles a formula that gives yes or no. The empty formula is yes. The error is a *fault.Fault.
func (e *Engine) Condition(f plant.Formula) (*Expr, error) { return e.get(condition, string(f)) }

// Text compiles a pattern: text in which {expression} is replaced by the value of the expression; {{ and }} stand for
// the braces themselves. The error is a *fault.Fault.
func (e *Engine) Text(p plant.Pattern) (*Expr, error) { return e.get(text, string(p)) }

func (e *Engine) get(k kind, source string) (*Expr, error) {
	key := cacheKey{k, source}
	e.mu.RLock()
	c, ok := e.cache[key]
	e.mu.RUnlock()
	if !ok {
		c.expr, c.err = e.compile(k, source)
		if len(source) <= maxSource {
			e.keep(key, c)
		}
	}
	if c.err != nil {
		mine := *c.err // the caller adds the place
		return nil, &mine
	}
	return c.expr, nil
}

// keep stores c, and forgets everything first when the cache is full: a plant has a few thousand formulas, so a full
// cache means that people typed many new ones.
func (e *Engine) keep(key cacheKey, c compiled) {
	e.mu.Lock()
	defer e.mu.Unlock()
	if len(e.cache) >= maxCached {
		clear(e.cache)
	}
	e.cache[key] = c
}
