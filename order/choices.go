package order

import (
	"fmt"
	"sort"
	"strings"
)

// Choices are the options chosen on an order line, written "jaws=4; form=closed".
type Choices string

// Parse gives the choices as a map from option to value. It refuses text without "=", empty names and doubled options.
func (c Choices) Parse() (map[string]string, error) {
	m := map[string]string{}
	for _, part := range strings.Split(string(c), ";") {
		if part = strings.TrimSpace(part); part == "" {
			continue
		}
		name, value, ok := strings.Cut(part, "=")
		name, value = strings.TrimSpace(name), strings.TrimSpace(value)
		if !ok || name == "" {
			return nil, fmt.Errorf("%q is not option=value", part)
		}
		if _, twice := m[name]; twice {
			return nil, fmt.Errorf("option %q is given twice", name)
		}
		m[name] = value
	}
	return m, nil
}

// ChoicesOf writes a map of choices with the options in alphabetical order.
func ChoicesOf(m map[string]string) Choices {
	names := make([]string, 0, len(m))
	for n := range m {
		names = append(names, n)
	}
	sort.Strings(names)
	for i, n := range names {
		names[i] = n + "=" + m[n]
	}
	return Choices(strings.Join(names, "; "))
}
