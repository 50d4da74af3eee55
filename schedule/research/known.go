package research

import (
	"bufio"
	"io"
	"slices"
	"strconv"
	"strings"

	"tackline/fault"
)

// valueColumns are the columns that hold best known values, the first that is there counts.
var valueColumns = []string{"upper_bound", "best_known_makespan", "reported_optimum", "portfolio_makespan", "best_total_tardiness", "total_weighted_tardiness",
	"best_total_weighted_tardiness"}

// Known reads the best known values by instance from a table with tabs between the cells: a line of column names, among them
// instance (or file and number, which make the instance file-number) and one of upper_bound, best_known_makespan,
// reported_optimum, portfolio_makespan and the like; then a line for each instance. An empty value is not known.
func Known(name string, r io.Reader) (map[string]int, error) {
	lines := bufio.NewScanner(io.LimitReader(r, longestText))
	lines.Buffer(make([]byte, 1<<16), longestText)
	lines.Scan()
	columns := strings.Split(strings.TrimSpace(lines.Text()), "\t")
	instance, file, number, value := slices.Index(columns, "instance"), slices.Index(columns, "file"), slices.Index(columns, "number"), -1
	for i := 0; i < len(valueColumns) && value < 0; i++ {
		value = slices.Index(columns, valueColumns[i])
	}
	if value < 0 || instance < 0 && (file < 0 || number < 0) {
		return nil, &fault.Fault{Kind: fault.Invalid, Table: name, Column: "line 1", Value: short(lines.Text()), Expected: "columns named instance and upper_bound, with tabs between"}
	}
	known := map[string]int{}
	var faults fault.List
	for at := 2; lines.Scan(); at++ {
		cells := strings.Split(lines.Text(), "\t")
		if len(cells) <= max(instance, file, number, value) || cells[value] == "" {
			continue
		}
		v, err := strconv.Atoi(cells[value])
		if err != nil {
			faults = append(faults, &fault.Fault{Kind: fault.Invalid, Table: name, Column: "line " + strconv.Itoa(at) + ", " + columns[value], Value: short(cells[value]),
				Expected: "a whole number, or nothing"})
			continue
		}
		if instance >= 0 {
			known[cells[instance]] = v
		} else {
			known[cells[file]+"-"+cells[number]] = v
		}
	}
	return known, faults.Err()
}

func short(s string) string {
	if len(s) > 60 {
		return s[:60] + "..."
	}
	return s
}
