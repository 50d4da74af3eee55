package formula

import (
	"fmt"
	"reflect"

	"github.com/google/cel-go/cel"
	"github.com/google/cel-go/common/types"
	"github.com/google/cel-go/common/types/ref"
	"github.com/google/cel-go/common/types/traits"
)

// scope gives CEL the variables of an Env.
type scope struct {
	opt, item record
	qty       float64
}

func newScope(env Env) *scope {
	return &scope{
		opt:  record{values: env.Opt, says: "opt.%s: this order has no option %s"},
		item: record{values: env.Item, says: "item.%s: this item has no attribute %s"},
		qty:  env.Qty,
	}
}

// ResolveName implements cel.Activation.
func (s *scope) ResolveName(name string) (any, bool) {
	switch name {
	case "opt":
		return &s.opt, true
	case "item":
		return &s.item, true
	case "qty":
		return types.Double(s.qty), true
	}
	return nil, false
}

// Parent implements cel.Activation.
func (s *scope) Parent() cel.Activation { return nil }

// record is opt or item: a map whose missing names are errors in words. It implements traits.Mapper.
type record struct {
	values map[string]any
	says   string
}

var _ traits.Mapper = (*record)(nil)

// Find gives the value of a name, or an error that names it.
func (r *record) Find(key ref.Val) (ref.Val, bool) {
	name, ok := key.(types.String)
	if !ok {
		return types.NewErr("a name is needed"), false
	}
	v, ok := r.values[string(name)]
	if !ok {
		return types.NewErr(r.says, string(name), string(name)), false
	}
	switch v := v.(type) {
	case float64:
		return types.Double(v), true
	case bool:
		return types.Bool(v), true
	case string:
		return types.String(v), true
	case int:
		return types.Double(v), true
	}
	return types.NewErr("%s has a value of the wrong kind", string(name)), false
}

// Get implements traits.Indexer.
func (r *record) Get(key ref.Val) ref.Val { v, _ := r.Find(key); return v }

// Contains says whether the name is there.
func (r *record) Contains(key ref.Val) ref.Val {
	name, ok := key.(types.String)
	if !ok {
		return types.False
	}
	_, ok = r.values[string(name)]
	return types.Bool(ok)
}

// The rest of traits.Mapper is not reachable: the compiler refuses opt and item as whole values.

func (r *record) Size() ref.Val { return types.Int(len(r.values)) }
func (r *record) Iterator() traits.Iterator {
	return types.DefaultTypeAdapter.NativeToValue([]string{}).(traits.Iterable).Iterator()
}
func (r *record) Equal(ref.Val) ref.Val { return types.False }
func (r *record) Type() ref.Type        { return types.MapType }
func (r *record) Value() any            { return r.values }

func (r *record) ConvertToType(ref.Type) ref.Val { return types.NewErr("not a single value") }

func (r *record) ConvertToNative(t reflect.Type) (any, error) {
	return nil, fmt.Errorf("not convertible to %v", t)
}
