// Package research reads the plain formats in which the scheduling literature publishes its instances, so that the search can
// be measured on them: job shops, flexible job shops and assembly job shops.
package research

import (
	"bufio"
	"io"
	"strconv"

	"tackline/fault"
	"tackline/schedule/disjunct"
)

// largest bounds the numbers of jobs, machines and operations that are read.
const largest = 200_000

// numbers reads whole numbers, one after the other, and remembers where it is.
type numbers struct {
	words *bufio.Scanner
	name  string
	at    int
	err   error
}

func newNumbers(name string, r io.Reader) *numbers {
	w := bufio.NewScanner(r)
	w.Buffer(make([]byte, 64), 1<<20)
	w.Split(bufio.ScanWords)
	return &numbers{words: w, name: name}
}

// next gives the next number, which must lie between lo and hi; what says what it is.
func (n *numbers) next(what string, lo, hi int) int {
	if n.err != nil {
		return lo
	}
	n.at++
	if !n.words.Scan() {
		n.err = &fault.Fault{Kind: fault.Invalid, Table: n.name, Text: "the file ends early", Expected: what + " as number " + strconv.Itoa(n.at) + " of the file"}
		return lo
	}
	v, err := strconv.Atoi(n.words.Text())
	if err != nil || v < lo || v > hi {
		n.err = &fault.Fault{Kind: fault.Invalid, Table: n.name, Value: n.words.Text(), Text: "number " + strconv.Itoa(n.at) + " of the file",
			Expected: what + " from " + strconv.Itoa(lo) + " to " + strconv.Itoa(hi)}
		return lo
	}
	return v
}

// JobShop reads a job shop: the numbers of jobs and machines, then for each job as many pairs of machine (from 0) and time as
// there are machines. With reentrant, jobs may have fewer or more operations, a line each.
func JobShop(name string, r io.Reader) (*disjunct.Instance, error) {
	lines := bufio.NewScanner(r)
	lines.Buffer(make([]byte, 1<<16), 1<<24)
	var first, body []byte
	for lines.Scan() {
		if first == nil {
			first = append([]byte{}, lines.Bytes()...)
			if len(trim(first)) == 0 {
				first = nil
			}
			continue
		}
		if len(trim(lines.Bytes())) > 0 {
			body = append(append(body, lines.Bytes()...), '\n')
		}
	}
	head := newNumbers(name, readerOf(first))
	jobs, machines := head.next("a number of jobs", 1, largest), head.next("a number of machines", 1, largest)
	if head.err != nil {
		return nil, head.err
	}
	in := &disjunct.Instance{Name: name, Machines: machines}
	rows := splitLines(body)
	if len(rows) < jobs {
		return nil, &fault.Fault{Kind: fault.Invalid, Table: name, Text: "there are " + strconv.Itoa(len(rows)) + " lines of jobs", Expected: strconv.Itoa(jobs)}
	}
	for j := range jobs {
		n := newNumbers(name+", job "+strconv.Itoa(j+1), readerOf(rows[j]))
		pairs := countWords(rows[j]) / 2
		for k := range pairs {
			m := n.next("a machine", 0, machines-1)
			add(in, j, k, []disjunct.Option{{Machine: m, Time: n.next("a time", 0, 1<<24)}})
		}
		if n.err != nil {
			return nil, n.err
		}
	}
	return in, in.Check()
}

// add appends operation k of job j, after the one before it in the job.
func add(in *disjunct.Instance, j, k int, options []disjunct.Option) {
	var after []int
	if k > 0 {
		after = []int{len(in.Options) - 1}
	}
	in.Options, in.After = append(in.Options, options), append(in.After, after)
	in.Job, in.Place = append(in.Job, j), append(in.Place, k)
}

// Flexible reads a flexible job shop: jobs, machines and the mean number of options; for each job its number of operations,
// and for each operation the number of options and as many pairs of machine (from 1) and time.
func Flexible(name string, r io.Reader) (*disjunct.Instance, error) {
	lines := bufio.NewReader(r)
	first, err := lines.ReadString('\n')
	if err != nil && err != io.EOF {
		return nil, err
	}
	head := newNumbers(name, readerOf([]byte(first)))
	jobs, machines := head.next("a number of jobs", 1, largest), head.next("a number of machines", 1, largest)
	n := newNumbers(name, lines)
	n.err = head.err
	in := &disjunct.Instance{Name: name, Machines: machines}
	for j := 0; j < jobs && n.err == nil; j++ {
		ops := n.next("a number of operations", 0, largest)
		for k := 0; k < ops && n.err == nil; k++ {
			count := n.next("a number of machines", 1, machines)
			options := make([]disjunct.Option, count)
			for i := range options {
				options[i].Machine = n.next("a machine", 1, machines) - 1
				options[i].Time = n.next("a time", 0, 1<<24)
			}
			add(in, j, k, options)
		}
	}
	if n.err != nil {
		return nil, n.err
	}
	return in, in.Check()
}

// Assembly reads a flexible job shop whose operations form any precedence graph: the numbers of operations, precedences and
// machines; the precedences as pairs before, after (from 0); for each operation the number of options and as many pairs of
// machine (from 0) and time. Each operation counts as a job of its own.
func Assembly(name string, r io.Reader) (*disjunct.Instance, error) {
	n := newNumbers(name, r)
	ops, pairs, machines := n.next("a number of operations", 1, largest), n.next("a number of precedences", 0, largest), n.next("a number of machines", 1, largest)
	if n.err != nil {
		return nil, n.err
	}
	in := &disjunct.Instance{Name: name, Machines: machines, After: make([][]int, ops)}
	for range pairs {
		before, after := n.next("an operation", 0, ops-1), n.next("an operation", 0, ops-1)
		in.After[after] = append(in.After[after], before)
	}
	for o := 0; o < ops && n.err == nil; o++ {
		options := make([]disjunct.Option, n.next("a number of machines", 1, machines))
		for i := range options {
			options[i] = disjunct.Option{Machine: n.next("a machine", 0, machines-1), Time: n.next("a time", 0, 1<<24)}
		}
		in.Options = append(in.Options, options)
		in.Job, in.Place = append(in.Job, o), append(in.Place, 0)
	}
	if n.err != nil {
		return nil, n.err
	}
	return in, in.Check()
}
