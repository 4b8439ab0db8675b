package mark_test

import (
	"encoding/csv"
	"fmt"
	"os"
	"slices"
	"strconv"
	"strings"
	"testing"

	"dawnround/internal/shared"
	"dawnround/mark"

	"pgregory.net/rapid"
)

// vector is one row of the constructed FDX-B telegrams, which an independent
// script computed.
type vector struct {
	number, bits, hex string
	telegram          mark.Telegram
}

func vectors(t *testing.T) map[string]vector {
	t.Helper()
	file, err := os.Open(shared.File(t, "standards/data/fdxb_vectors.csv"))
	if err != nil {
		t.Fatal(err)
	}
	defer file.Close()
	rows, err := csv.NewReader(file).ReadAll()
	if err != nil {
		t.Fatal(err)
	}
	all := map[string]vector{}
	for _, row := range rows[1:] {
		cell := func(column string) string { return row[slices.Index(rows[0], column)] }
		n := func(column string) uint64 {
			v, err := strconv.ParseUint(cell(column), 10, 64)
			if err != nil {
				t.Fatal(err)
			}
			return v
		}
		id := mark.Identification{Country: uint16(n("country")), National: n("national"), Animal: n("animal") == 1,
			Retag: uint8(n("retag")), User: uint8(n("user")), Reserved: uint8(n("reserved")), Data: n("data") == 1}
		v := vector{number: cell("display15"), hex: cell("code64_hex"), bits: cell("telegram_bits_in_sent_order"), telegram: mark.Telegram{ID: id}}
		if strings.Contains(strings.Join(row, ","), "trailer bytes 01 02 03") {
			v.telegram.Trailer = [3]byte{1, 2, 3}
		}
		all[row[0]] = v
	}
	if len(all) < 6 {
		t.Fatalf("only %d telegrams", len(all))
	}
	return all
}

func TestTelegramVectors(t *testing.T) {
	t.Parallel()
	for name, v := range vectors(t) {
		if sent, err := v.telegram.Encode(); err != nil || sent != v.bits {
			t.Errorf("%s: encoded\n%s, want\n%s (%v)", name, sent, v.bits, err)
		}
		got, err := mark.DecodeTelegram(v.bits)
		if err != nil || got != v.telegram || got.ID.Number() != v.number {
			t.Errorf("%s: decoded %+v, %v; want %+v, %s", name, got, err, v.telegram, v.number)
		}
		if code, err := got.ID.Bits(); err != nil || fmt.Sprintf("%016X", code) != v.hex {
			t.Errorf("%s: bits %016X, %v; want %s", name, code, err, v.hex)
		}
		if read, err := mark.ParseTransponder("0x" + v.hex); err != nil || read.Number != v.number {
			t.Errorf("%s: hexadecimal %s reads as %+v, %v; want %s", name, v.hex, read, err, v.number)
		}
	}
}

// Each of the 128 bits turned over is found, but for the 24 data bits of the
// trailer, which the CRC does not cover.
func TestTelegramFlips(t *testing.T) {
	t.Parallel()
	for name, v := range vectors(t) {
		for i := range v.bits {
			got, err := mark.DecodeTelegram(flip(v.bits, i))
			trailerData := i >= 101 && (i-101)%9 != 8
			if trailerData != (err == nil) {
				t.Errorf("%s, bit %d: %+v, %v", name, i+1, got, err)
			}
			if trailerData && got.ID != v.telegram.ID {
				t.Errorf("%s, bit %d of the trailer changed the identification", name, i+1)
			}
		}
	}
}

func flip(bits string, i int) string {
	return bits[:i] + string('0'+'1'-bits[i]) + bits[i+1:]
}

func TestTelegramReversedIsRefused(t *testing.T) {
	t.Parallel()
	for name, v := range vectors(t) {
		reversed := []byte(v.bits)
		for i := range reversed {
			reversed[i] = v.bits[len(v.bits)-1-i]
		}
		if got, err := mark.DecodeTelegram(string(reversed)); err == nil {
			t.Errorf("%s reversed reads as %+v", name, got)
		}
	}
}

func TestTelegramRefusesImpossibleCodes(t *testing.T) {
	t.Parallel()
	for _, id := range []mark.Identification{{Country: 0}, {Country: 1000}, {Country: 1023},
		{Country: 36, National: mark.MaxNational + 1}, {Country: 36, Retag: 8}, {Country: 36, User: 32}, {Country: 36, Reserved: 64}} {
		if sent, err := (mark.Telegram{ID: id}).Encode(); err == nil {
			t.Errorf("%+v was encoded as %s", id, sent)
		}
	}
}

func anyTelegram(t *rapid.T) mark.Telegram {
	return mark.Telegram{
		ID: mark.Identification{
			Animal:   rapid.Bool().Draw(t, "animal"),
			Retag:    rapid.Uint8Range(0, 7).Draw(t, "retag"),
			User:     rapid.Uint8Range(0, 31).Draw(t, "user"),
			Reserved: rapid.Uint8Range(0, 63).Draw(t, "reserved"),
			Data:     rapid.Bool().Draw(t, "data"),
			Country:  rapid.Uint16Range(1, 999).Draw(t, "country"),
			National: rapid.Uint64Range(0, mark.MaxNational).Draw(t, "national"),
		},
		Trailer: [3]byte(rapid.SliceOfN(rapid.Byte(), 3, 3).Draw(t, "trailer")),
	}
}

func TestTelegramRoundTrip(t *testing.T) {
	t.Parallel()
	rapid.Check(t, func(t *rapid.T) {
		want := anyTelegram(t)
		sent, err := want.Encode()
		if err != nil {
			t.Fatal(err)
		}
		if got, err := mark.DecodeTelegram(sent); err != nil || got != want {
			t.Fatalf("%+v came back as %+v, %v", want, got, err)
		}
		bit := rapid.IntRange(11, 100).Draw(t, "flipped")
		if got, err := mark.DecodeTelegram(flip(sent, bit)); err == nil {
			t.Fatalf("bit %d turned over reads as %+v", bit+1, got)
		}
		if strings.Contains(sent[11:], "00000000001") {
			t.Fatalf("the header's pattern is inside %s", sent)
		}
	})
}

func FuzzDecodeTelegram(f *testing.F) {
	good, err := mark.Telegram{ID: mark.Identification{Animal: true, Country: 999, National: 1}}.Encode()
	if err != nil {
		f.Fatal(err)
	}
	f.Add(good)
	f.Add(strings.Repeat("0", 128))
	f.Fuzz(func(t *testing.T, sent string) {
		telegram, err := mark.DecodeTelegram(sent)
		if err != nil {
			return
		}
		if again, err := telegram.Encode(); err != nil || again != sent {
			t.Fatalf("%s decodes, but encodes as %s, %v", sent, again, err)
		}
	})
}
