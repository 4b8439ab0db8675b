//go:build !js

package main

import (
	"fmt"
	"os"
)

func main() {
	fmt.Fprintln(os.Stderr, "fieldcore: this program runs in a browser, compiled to WebAssembly: make core")
	os.Exit(2)
}
