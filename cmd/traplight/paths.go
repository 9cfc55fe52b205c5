package main

import (
	"reflect"

	"github.com/alecthomas/kong"
)

// paths reads arguments of type "path" as they were typed: the parser's own reading cuts the
// value of a flag at commas and replaces bytes that are not UTF-8, both of which file names may
// hold.
func paths(ctx *kong.DecodeContext, target reflect.Value) error {
	many := target.Kind() == reflect.Slice
	for {
		t, err := ctx.Scan.PopValue("file")
		if err != nil {
			return err
		}
		name, _ := t.Value.(string)
		if name != "-" && !(name == "" && ctx.Value.HasDefault) {
			name = kong.ExpandPath(name)
		}
		if !many {
			target.SetString(name)
			return nil
		}
		target.Set(reflect.Append(target, reflect.ValueOf(name)))
		// a flag takes one value and may be repeated, an argument all that follow
		if next := ctx.Scan.Peek(); ctx.Value.Flag != nil || next.IsEOL() || !next.IsValue() {
			return nil
		}
	}
}
