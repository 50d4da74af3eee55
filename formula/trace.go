package formula

// Trace is the arithmetic of one evaluation, for people.
type Trace struct {
	Formula string  // the text of the formula or pattern
	Reads   []Read  // each value read, in order of first reading
	Calls   []Call  // each trade function called, in order
	Result  string  // the result, in words or digits
	Number  float64 // the result of a formula for a number
}

// Read is a value that a formula read.
type Read struct {
	Name  string // opt.jaws, item.weld_m, qty
	Value Value
}

// Call is a trade function that a formula called.
type Call struct {
	Name     string
	Args     []Given
	Function Function
	Result   Value
}

// Given is the value of one argument.
type Given struct {
	Arg     Arg
	Value   Value
	Default bool // the formula leaves it out
}

// Explain evaluates the expression and shows how the result came about. The error is a *fault.Fault.
func (x *Expr) Explain(env Env) (Trace, error) {
	t := Trace{Formula: x.source}
	var err error
	switch x.kind {
	case number:
		t.Number, err = x.Number(env)
		t.Result = formatNumber(t.Number)
	case condition:
		var yes bool
		yes, err = x.True(env)
		t.Result = "no"
		if yes {
			t.Result = "yes"
		}
	case text:
		t.Result, err = x.Text(env)
	}
	return t, err
}
