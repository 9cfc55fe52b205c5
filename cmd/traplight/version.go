package main

import (
	"fmt"
	"runtime/debug"
)

type versionCmd struct{}

func (*versionCmd) Run(w *world) error {
	_, err := fmt.Fprintln(w.out, programName())
	return err
}

// programName is the program with its version, as results keep it.
func programName() string {
	version, revision := "development build", ""
	if info, ok := debug.ReadBuildInfo(); ok {
		if v := info.Main.Version; v != "" && v != "(devel)" {
			version = v
		}
		for _, s := range info.Settings {
			if s.Key == "vcs.revision" && len(s.Value) >= 12 {
				revision = " " + s.Value[:12]
			}
		}
	}
	return "traplight " + version + revision
}
