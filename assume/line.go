package assume

import (
	"slices"
	"strings"

	"tackline/fault"
)

// Parse reads an assumption from one line: the kind, then fields as name=value, separated by semicolons, such as
// "down; station=robot-1; from=2026-11-30T06:00; to=2026-12-02T12:00; reason=drive". Options come last, for they have
// semicolons of their own: "order; order=1203; item=grab; at=2026-12-15T16:00; options=jaws=4; form=closed". Line writes it.
func Parse(line string) (Assumption, fault.List) {
	head, rest, _ := strings.Cut(line, ";")
	kind := Kind(strings.TrimSpace(head))
	shape, ok := ShapeOf(kind)
	if !ok {
		return Assumption{Kind: kind}, fault.List{unknownKind(kind)}
	}
	values := map[string]string{}
	for strings.TrimSpace(rest) != "" {
		var part string
		part, rest, _ = strings.Cut(rest, ";")
		name, value, is := strings.Cut(part, "=")
		name, value = strings.TrimSpace(name), strings.TrimSpace(value)
		if name == "options" && is && rest != "" {
			value, rest = value+";"+rest, ""
		}
		switch _, twice := values[name]; {
		case strings.TrimSpace(part) == "":
			continue
		case !is:
			return Assumption{Kind: kind}, say("", strings.TrimSpace(part), "name=value", "")
		case !slices.Contains(shape.Need, name) && !slices.Contains(shape.May, name):
			return Assumption{Kind: kind}, say("", name, "one of "+strings.Join(append(slices.Clone(shape.Need), shape.May...), ", "),
				"an assumption of the kind "+string(kind)+" has no such field")
		case twice:
			return Assumption{Kind: kind}, say(name, value, "the field once", "it is given twice")
		}
		values[name] = value
	}
	return Read(kind, func(name string) string { return values[name] })
}

// Line writes an assumption as Parse reads it.
func Line(a Assumption) string {
	parts := []string{string(a.Kind)}
	if shape, ok := ShapeOf(a.Kind); ok {
		for _, f := range shape.Fields() {
			if text := a.Text(f.Name); text != "" && f.Name != "options" {
				parts = append(parts, f.Name+"="+text)
			}
		}
	}
	if a.Options != "" {
		parts = append(parts, "options="+a.Options)
	}
	return strings.Join(parts, "; ")
}
