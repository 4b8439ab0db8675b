package exchange

import (
	"encoding/csv"
	"fmt"
	"io"
	"strings"
)

// WriteAside writes the rows set aside: the table's own columns, and why. The
// rows can be corrected there and the file imported again with the same
// mapping.
func WriteAside(w io.Writer, r Result) error {
	out := csv.NewWriter(w)
	out.Comma = r.Delimiter
	width, beyond := len(r.Header), len(r.Header)
	if r.Header[width-1] == asideColumn {
		width-- // the reasons of an earlier import give way to those of this one
	} else {
		r.Header = append(r.Header[:width:width], asideColumn)
	}
	if err := out.Write(r.Header); err != nil {
		return err
	}
	for _, a := range r.Aside {
		row := append([]string{}, a.Fields[:min(width, len(a.Fields))]...)
		for len(row) < width {
			row = append(row, "")
		}
		row = append(row, fmt.Sprintf("line %d: %s", a.Line, strings.Join(a.Reasons, "; ")))
		row = append(row, a.Fields[min(beyond, len(a.Fields)):]...)
		if err := out.Write(row); err != nil {
			return err
		}
	}
	out.Flush()
	return out.Error()
}
