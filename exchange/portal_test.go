package exchange_test

import (
	"bytes"
	"context"
	"crypto/ed25519"
	"encoding/csv"
	"os"
	"testing"
	"time"

	"dawnround/exchange"
	"dawnround/internal/shared"
	"dawnround/notebook"
	"dawnround/programme"
	"dawnround/record"

	"github.com/google/uuid"
)

var portalID = uuid.MustParse("7d444840-9dc0-11d1-b245-5ffdce74fad2")

// clock is a clock that stands still.
func clock() time.Time { return time.Date(2026, 5, 13, 18, 0, 0, 0, time.UTC) }

// newProgramme is an empty programme on the device of this number.
func newProgramme(tb testing.TB, id uuid.UUID, device byte) *programme.Programme {
	tb.Helper()
	key := ed25519.NewKeyFromSeed(bytes.Repeat([]byte{device}, ed25519.SeedSize))
	n, err := notebook.Create(&notebook.Memory{}, id, key, clock)
	if err != nil {
		tb.Fatal(err)
	}
	p, err := programme.Open(n)
	if err != nil {
		tb.Fatal(err)
	}
	return p
}

// portal is a programme under the protocol of the example.
func portal(tb testing.TB, device byte) *programme.Programme {
	tb.Helper()
	p := newProgramme(tb, portalID, device)
	text, err := os.ReadFile("../examples/desert-rodents/protocol.yaml")
	if err != nil {
		tb.Fatal(err)
	}
	e, err := record.Entry("AB", record.Protocol{Version: "1", Text: string(text)})
	if err != nil {
		tb.Fatal(err)
	}
	e.ID = portalID // the same line in every notebook
	if err := p.KeepBatch([]notebook.Entry{e}); err != nil {
		tb.Fatal(err)
	}
	return p
}

func mapping(tb testing.TB, name string) *exchange.Mapping {
	tb.Helper()
	text, err := os.ReadFile("../examples/desert-rodents/" + name)
	if err != nil {
		tb.Fatal(err)
	}
	m, err := exchange.ParseMapping(name, text)
	if err != nil {
		tb.Fatal(err)
	}
	return m
}

func tableFile(tb testing.TB, name string) []byte {
	tb.Helper()
	file, err := os.ReadFile(shared.File(tb, "data/portal/"+name))
	if err != nil {
		tb.Fatal(err)
	}
	return file
}

func take(tb testing.TB, p *programme.Programme, m *exchange.Mapping, file []byte) exchange.Result {
	tb.Helper()
	r, err := exchange.Import(context.Background(), p, m, file, exchange.Options{Who: "AB", Now: clock})
	if err != nil {
		tb.Fatal(err)
	}
	if r.Rows != r.Entered+r.Flagged+r.SetAside+r.AlreadyThere {
		tb.Errorf("rows do not add up: %+v", r)
	}
	return r
}

// rowsOf reads a table without anything of the product, as maps by column.
func rowsOf(tb testing.TB, file []byte) []map[string]string {
	tb.Helper()
	all, err := csv.NewReader(bytes.NewReader(file)).ReadAll()
	if err != nil {
		tb.Fatal(err)
	}
	var out []map[string]string
	for _, fields := range all[1:] {
		row := map[string]string{}
		for i, f := range fields {
			row[all[0][i]] = f
		}
		out = append(out, row)
	}
	return out
}
