package main

import (
	"fmt"
	"runtime/debug"
)

type versionCommand struct{}

// Run prints it.
func (versionCommand) Run(std streams) error {
	_, err := fmt.Fprintln(std.out, "tracewright", version())
	return err
}

// version is the module's, or the commit it was built from.
func version() string {
	info, ok := debug.ReadBuildInfo()
	if !ok {
		return "unknown"
	}
	v := info.Main.Version
	for _, s := range info.Settings {
		if s.Key == "vcs.revision" && len(s.Value) >= 12 && (v == "" || v == "(devel)") {
			v = s.Value[:12]
		}
	}
	if v == "" {
		return "unknown"
	}
	return v
}
