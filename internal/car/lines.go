package car

import (
	"sort"
	"strconv"
	"strings"

	"github.com/pelletier/go-toml/v2/unstable"
)

// findLines walks the text a second time for the place of each key, which the
// decoder does not tell.
func (d *document) findLines(data []byte) {
	var p unstable.Parser
	p.Reset(data)
	d.starts = []int{0}
	for i, b := range data {
		if b == '\n' {
			d.starts = append(d.starts, i+1)
		}
	}
	count := map[string]int{}
	var here []string
	for p.NextExpression() {
		e := p.Expression()
		switch e.Kind {
		case unstable.Table:
			here, _ = d.resolve(e.Key(), nil, count)
			d.mark(here, d.lineOf(e.Key()))
		case unstable.ArrayTable:
			path, _ := d.resolve(e.Key(), nil, count)
			// resolve has added the number of the last element, if any.
			name := join(trimIndex(path, e.Key()))
			here = append(trimIndex(path, e.Key()), strconv.Itoa(count[name]))
			count[name]++
			d.mark(here, d.lineOf(e.Key()))
		case unstable.KeyValue:
			path, line := d.resolve(e.Key(), here, nil)
			d.mark(path, line)
			d.inner(e.Value(), path, line)
		}
	}
}

// inner marks the keys of inline tables, alone or in arrays.
func (d *document) inner(n *unstable.Node, path []string, line int) {
	switch n.Kind {
	case unstable.InlineTable:
		for it := n.Children(); it.Next(); {
			kv := it.Node()
			sub, at := d.resolve(kv.Key(), path, nil)
			if at == 0 {
				at = line
			}
			d.mark(sub, at)
			d.inner(kv.Value(), sub, at)
		}
	case unstable.Array:
		i := 0
		for it := n.Children(); it.Next(); i++ {
			d.inner(it.Node(), append(path[:len(path):len(path)], strconv.Itoa(i)), line)
		}
	}
}

// resolve appends a dotted key to base. With count, names that are table
// arrays are followed by the number of their last element.
func (d *document) resolve(it unstable.Iterator, base []string, count map[string]int) (path []string, line int) {
	path = base[:len(base):len(base)]
	for it.Next() {
		n := it.Node()
		if line == 0 && n.Raw.Length > 0 {
			line = d.lineAt(n.Raw)
		}
		path = append(path, string(n.Data))
		if c := count[join(path)]; c > 0 {
			path = append(path, strconv.Itoa(c-1))
		}
	}
	return path, line
}

// trimIndex takes the element number off the end of a resolved array name.
func trimIndex(path []string, key unstable.Iterator) []string {
	last := ""
	for key.Next() {
		last = string(key.Node().Data)
	}
	if n := len(path); n > 1 && path[n-1] != last {
		path = path[:n-1]
	}
	return path[:len(path):len(path)]
}

func (d *document) lineOf(it unstable.Iterator) int {
	if it.Next() && it.Node().Raw.Length > 0 {
		return d.lineAt(it.Node().Raw)
	}
	return 0
}

// lineAt is the line, from 1, in which a range begins.
func (d *document) lineAt(r unstable.Range) int {
	return sort.SearchInts(d.starts, int(r.Offset)+1)
}

func (d *document) mark(path []string, line int) {
	if _, seen := d.lines[join(path)]; !seen {
		d.lines[join(path)] = line
	}
}

func (d *document) line(path ...string) int { return d.lines[join(path)] }

func join(path []string) string { return strings.Join(path, "\x00") }
