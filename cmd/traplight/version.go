package main

import (
	"fmt"
	"runtime/debug"
)

type versionCmd struct{}

func (*versionCmd) Run(w *world) error {
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
	_, err := fmt.Fprintf(w.out, "traplight %s%s\n", version, revision)
	return err
}
