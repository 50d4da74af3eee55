package book

// Nearest gives the name in names with the smallest edit distance to s, or "" if none is close (a third of its length,
// at least 1). Distance: Levenshtein, "Binary codes capable of correcting deletions, insertions and reversals", 1966.
func Nearest(s string, names []string) string {
	best, bestAt := "", len(s)/3+2
	for _, n := range names {
		if d := distance(s, n, bestAt); d < bestAt {
			best, bestAt = n, d
		}
	}
	return best
}

// distance gives the edit distance of a and b, or limit if it is not below it.
func distance(a, b string, limit int) int {
	x, y := []rune(a), []rune(b)
	if len(x)-len(y) >= limit || len(y)-len(x) >= limit {
		return limit
	}
	row := make([]int, len(y)+1)
	for j := range row {
		row[j] = j
	}
	for i := range x {
		diagonal, low := row[0], i+1
		row[0] = i + 1
		for j := range y {
			cost := diagonal
			if x[i] != y[j] {
				cost++
			}
			diagonal = row[j+1]
			row[j+1] = min(cost, row[j]+1, row[j+1]+1)
			low = min(low, row[j+1])
		}
		if low >= limit {
			return limit
		}
	}
	return row[len(y)]
}
