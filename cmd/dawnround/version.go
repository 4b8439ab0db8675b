package main

import (
	"fmt"
	"io"
	"runtime"
	"runtime/debug"
)

// versionInfo is what version prints as JSON.
type versionInfo struct {
	Version  string `json:"version"`
	Revision string `json:"revision,omitempty"`
	Go       string `json:"go"`
	System   string `json:"system"`
}

// release is the version people are told; CHANGELOG.md says what it brings.
const release = "0.1.0"

func (c *call) version() error {
	if err := c.parse(0, 0); err != nil {
		return err
	}
	v := versionInfo{Version: release, Go: runtime.Version(), System: runtime.GOOS + "/" + runtime.GOARCH}
	if build, ok := debug.ReadBuildInfo(); ok {
		for _, s := range build.Settings {
			if s.Key == "vcs.revision" {
				v.Revision = s.Value
			}
		}
	}
	return c.print(v, func(w io.Writer) error {
		_, err := fmt.Fprintf(w, "dawnround %s (%s, %s)\n", v.Version, v.Go, v.System)
		return err
	})
}
