package main

import (
	"bytes"
	"image"
	"image/color"
	"image/jpeg"
	"os"
	"path/filepath"
	"strconv"

	"github.com/rogpeppe/go-internal/testscript"
)

// takePhoto writes a picture: takephoto FILE WIDTH HEIGHT.
func takePhoto(ts *testscript.TestScript, _ bool, args []string) {
	width, err := strconv.Atoi(args[1])
	ts.Check(err)
	height, err := strconv.Atoi(args[2])
	ts.Check(err)
	m := image.NewGray(image.Rect(0, 0, width, height))
	for i := range m.Pix {
		m.Pix[i] = color.Gray{Y: uint8(i*7 + i/width*13)}.Y
	}
	var b bytes.Buffer
	ts.Check(jpeg.Encode(&b, m, nil))
	ts.Check(os.WriteFile(ts.MkAbs(args[0]), b.Bytes(), 0o600))
}

// damagePhoto changes a byte in the middle of one file of a folder.
func damagePhoto(ts *testscript.TestScript, _ bool, args []string) {
	list, err := filepath.Glob(filepath.Join(ts.MkAbs(args[0]), "*.jpg"))
	ts.Check(err)
	damage(ts, list[0], 0)
}

// damageBlob changes a byte within a photo that lies in a notebook's file.
func damageBlob(ts *testscript.TestScript, _ bool, args []string) {
	name := ts.MkAbs(args[0])
	data, err := os.ReadFile(name)
	ts.Check(err)
	damage(ts, name, bytes.Index(data, []byte("\xff\xd8\xff\xdb"))+700)
}

func damage(ts *testscript.TestScript, name string, at int) {
	data, err := os.ReadFile(name)
	ts.Check(err)
	if at == 0 {
		at = len(data) / 2
	}
	data[at] ^= 1
	ts.Check(os.WriteFile(name, data, 0o600))
}
