package estimate

import (
	"math"
	"strings"
	"testing"
)

// tolerance of a comparison with a published value: half a per cent, as printed figures are rounded.
const tolerance = 0.005

// value is a figure to check, with the place it comes from.
type value struct {
	name   string
	got    float64
	err    error
	want   float64
	within float64 // absolute tolerance; 0 takes half a per cent
}

func run(t *testing.T, values []value) {
	t.Helper()
	for _, v := range values {
		within := v.within
		if within == 0 {
			within = tolerance*math.Abs(v.want) + 1e-12
		}
		if v.err != nil || math.IsNaN(v.got) || math.Abs(v.got-v.want) > within {
			t.Errorf("%s: got %v, error %v; want %v", v.name, v.got, v.err, v.want)
		}
	}
}

// of makes a value from a function that gives a number and an error.
func of(name string, want float64) func(float64, error) value {
	return func(got float64, err error) value { return value{name: name, got: got, err: err, want: want} }
}

// refusal is a call that must fail, with words that must be in the error.
type refusal struct {
	name string
	err  error
	says string
}

func refused(t *testing.T, list []refusal) {
	t.Helper()
	for _, r := range list {
		if r.err == nil || !strings.Contains(r.err.Error(), r.says) {
			t.Errorf("%s: got error %v; want words %q", r.name, r.err, r.says)
		}
	}
}

func errOf[T any](_ T, err error) error { return err }
