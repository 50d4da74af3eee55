package web

import (
	"strings"

	"golang.org/x/net/html"
)

// all gives the elements below n for which ok holds, in document order.
func all(n *html.Node, ok func(*html.Node) bool) []*html.Node {
	var out []*html.Node
	for c := range n.Descendants() {
		if c.Type == html.ElementNode && ok(c) {
			out = append(out, c)
		}
	}
	return out
}

// find gives the elements that match a simple selector: "tag", ".class", "tag.class", "#id", each optionally followed by
// descendants: "table.list tbody tr".
func find(n *html.Node, selector string) []*html.Node {
	at := []*html.Node{n}
	for _, part := range strings.Fields(selector) {
		var next []*html.Node
		seen := map[*html.Node]bool{}
		for _, a := range at {
			for _, c := range all(a, func(c *html.Node) bool { return matches(c, part) }) {
				if !seen[c] {
					seen[c] = true
					next = append(next, c)
				}
			}
		}
		at = next
	}
	return at
}

func matches(n *html.Node, part string) bool {
	if id, ok := strings.CutPrefix(part, "#"); ok {
		return attr(n, "id") == id
	}
	tag, class, _ := strings.Cut(part, ".")
	if tag != "" && n.Data != tag {
		return false
	}
	return class == "" || strings.Contains(" "+attr(n, "class")+" ", " "+class+" ")
}

func attr(n *html.Node, name string) string {
	for _, a := range n.Attr {
		if a.Key == name {
			return a.Val
		}
	}
	return ""
}

// textOf gives the text of n with its white space made single.
func textOf(n *html.Node) string {
	var b strings.Builder
	for c := range n.Descendants() {
		if c.Type == html.TextNode {
			b.WriteString(c.Data + " ")
		}
	}
	return strings.Join(strings.Fields(b.String()), " ")
}
