// Package mdf reads measurement data files of version 4 (ASAM MDF 4.1 and 4.2,
// after the published description, from memory): channel groups with their own
// masters, records in DT, DZ, DL and HL blocks, sorted or not, conversions to
// numbers. Channels of variable length, arrays and text conversions are told and
// left out.
package mdf

import (
	"fmt"
	"io"
	"sort"
	"time"

	"traplight/internal/logfile/table"
)

// Is says whether a file begins as such a file does.
func Is(head []byte) bool {
	return len(head) >= 16 && (string(head[:8]) == "MDF     " || string(head[:8]) == "UnFinMF ") && head[8] == '4'
}

// mostCells bounds what is unpacked.
const mostCells = 1 << 27

// Read reads a file. The group with most records becomes the rows; the channels
// of the others keep clocks of their own.
func Read(name string, src io.ReaderAt, size int64) (t *table.Table, err error) {
	fail := func(err error) (*table.Table, error) {
		return nil, &table.Error{File: name, Err: table.ErrDamaged, Reason: err.Error()}
	}
	f := &file{src: src, size: size}
	hd, err := f.read(64, "HD", 6, 24)
	if err != nil {
		return fail(err)
	}
	groups, err := f.groups(hd.links[0])
	if err != nil {
		return fail(err)
	}
	t = &table.Table{Format: "mdf", Meta: map[string]string{}, Clock: -1}
	if c := f.text(hd.links[5]); c != "" && len(c) < 500 {
		t.Meta["comment"] = c
	}
	start := int64(le.Uint64(hd.data))
	if start > 0 {
		t.Meta["start"] = time.Unix(0, start).UTC().Format("2006-01-02T15:04:05")
	}
	sort.SliceStable(groups, func(i, j int) bool { return groups[i].rows() > groups[j].rows() })
	for _, g := range groups {
		g.columns(t)
	}
	if len(t.Columns) == 0 {
		return nil, &table.Error{File: name, Err: table.ErrNoTable, Reason: fmt.Sprintf("%d channel groups, none with samples on a time axis", len(groups))}
	}
	t.Parts = []table.Part{{Row: 0}}
	return t, nil
}

// rows is how many samples a group has.
func (g *group) rows() int {
	n := 0
	for _, c := range g.channels {
		n = max(n, len(c.values))
	}
	return n
}

// columns adds a group's channels to the table.
func (g *group) columns(t *table.Table) {
	var clock *channel
	for _, c := range g.channels {
		if (c.kind == master || c.kind == virtualMaster) && c.sync == 1 && len(c.values) > 0 {
			clock = c
		}
	}
	if clock == nil {
		if n := g.rows(); n > 0 {
			t.Notes = append(t.Notes, fmt.Sprintf("group %q has no time axis and is left out", g.name))
		}
		return
	}
	first := t.Clock < 0
	if first {
		t.Clock, t.Rows = len(t.Columns), len(clock.values)
		unit := clock.unit
		if unit == "" {
			unit = "s"
		}
		t.Columns = append(t.Columns, table.Column{Name: clock.name, Unit: unit, Values: clock.values})
	}
	for _, c := range g.channels {
		if c == clock {
			continue
		}
		col := table.Column{Name: c.name, Unit: c.unit, Values: c.values}
		switch {
		case c.skipped != "":
			t.Notes = append(t.Notes, fmt.Sprintf("channel %q is left out: %s", c.name, c.skipped))
			continue
		case c.text != nil:
			col.Kind, col.Text, col.Values = table.Words, c.text, nil
		case c.kind == master || len(c.values) != len(clock.values):
			continue
		}
		if !first {
			col.Times = clock.values
		}
		t.Columns = append(t.Columns, col)
	}
}

// groups reads all data groups with their samples.
func (f *file) groups(at int64) ([]*group, error) {
	var out []*group
	cells := 0
	for at != 0 {
		dg, err := f.read(at, "DG", 4, 1)
		if err != nil {
			return nil, err
		}
		idSize := int(dg.data[0])
		if idSize != 0 && idSize != 1 && idSize != 2 && idSize != 4 && idSize != 8 {
			return nil, fmt.Errorf("record numbers of %d bytes", idSize)
		}
		var members []*group
		for cg := dg.links[1]; cg != 0; {
			g, next, err := f.readGroup(cg)
			if err != nil {
				return nil, err
			}
			members = append(members, g)
			cg = next
		}
		records, err := f.records(dg.links[2])
		if err != nil {
			return nil, err
		}
		parts, err := sortRecords(members, records, idSize)
		if err != nil {
			return nil, err
		}
		for i, g := range members {
			step, skip := g.size, 0
			if idSize > 0 && len(members) == 1 {
				step, skip = g.size+idSize, idSize
			}
			if step > 0 {
				if cells += len(parts[i]) / step * len(g.channels); cells > mostCells {
					return nil, fmt.Errorf("more than %d values", mostCells)
				}
				// The count in the header rules where the block is longer.
				if n := uint64(len(parts[i]) / step); g.cycles > 0 && g.cycles < n {
					parts[i] = parts[i][:int(g.cycles)*step]
				}
			}
			for _, c := range g.channels {
				if err := c.decode(g, parts[i], step, skip); err != nil {
					return nil, err
				}
			}
		}
		out = append(out, members...)
		at = dg.links[0]
	}
	return out, nil
}

// readGroup reads a CG block and its channels.
func (f *file) readGroup(at int64) (g *group, next int64, err error) {
	b, err := f.read(at, "CG", 6, 32)
	if err != nil {
		return nil, 0, err
	}
	d := b.data
	g = &group{name: f.text(b.links[2]), recordID: le.Uint64(d), cycles: le.Uint64(d[8:]), flags: le.Uint16(d[16:])}
	data, inval := le.Uint32(d[24:]), le.Uint32(d[28:])
	if data > 1<<24 || inval > 1<<20 {
		return nil, 0, fmt.Errorf("records of %d bytes", data)
	}
	g.dataSize, g.size = int(data), int(data)+int(inval)
	pending := []int64{b.links[1]}
	for len(pending) > 0 {
		cn := pending[len(pending)-1]
		pending = pending[:len(pending)-1]
		for cn != 0 {
			c, nextCN, component, err := f.readChannel(cn)
			if err != nil {
				return nil, 0, err
			}
			if component != 0 {
				if h, err := f.header(component); err == nil && h.id == "CN" {
					pending = append(pending, component) // a structure: its members are channels too
				} else if err == nil {
					c.skipped = "an array"
				}
			}
			g.channels = append(g.channels, c)
			if len(g.channels) > 20000 {
				return nil, 0, fmt.Errorf("more than 20000 channels")
			}
			cn = nextCN
		}
	}
	return g, b.links[0], nil
}

// sortRecords parts the records of a data group by their numbers. A group by
// itself keeps its records as they are.
func sortRecords(members []*group, records []byte, idSize int) ([][]byte, error) {
	out := make([][]byte, len(members))
	if len(members) == 1 && members[0].flags&1 == 0 {
		out[0] = records
		return out, nil
	}
	if idSize == 0 {
		if len(records) > 0 && len(members) > 1 {
			return nil, fmt.Errorf("%d groups share their records without numbers", len(members))
		}
		return out, nil
	}
	byID := map[uint64]int{}
	for i, g := range members {
		byID[g.recordID] = i
	}
	for at := 0; at+idSize <= len(records); {
		var id uint64
		for k := idSize - 1; k >= 0; k-- {
			id = id<<8 | uint64(records[at+k])
		}
		at += idSize
		i, ok := byID[id]
		if !ok {
			return nil, fmt.Errorf("a record of unknown number %d", id)
		}
		g := members[i]
		size := g.size
		if g.flags&1 != 0 { // values of variable length: a length, then the bytes
			if at+4 > len(records) {
				break
			}
			size = 4 + int(min(le.Uint32(records[at:]), 1<<30))
		}
		if size == 0 || at+size > len(records) {
			break // cut
		}
		if g.flags&1 == 0 {
			out[i] = append(out[i], records[at:at+size]...)
		}
		at += size
	}
	return out, nil
}
