package mark_test

import (
	"fmt"
	"strings"
	"testing"

	"dawnround/mark"

	"pgregory.net/rapid"
)

func TestParseTransponder(t *testing.T) {
	t.Parallel()
	for _, c := range []struct {
		text, number, warning string
		older                 bool
	}{
		{text: "982000001088420", number: "982000001088420"},
		{text: " 982 000001088420 ", number: "982000001088420"},
		{text: "900.215.000.000.007", number: "900215000000007"},
		{text: "036-123456789012", number: "036123456789012"},
		{text: "LA 982 000001088420\r\n", number: "982000001088420"},
		{text: "LA 00000 0 982 000001088420", number: "982000001088420"},
		{text: "\x02LA 00000 0 982 000001088420\r\n", number: "982000001088420"},
		{text: "\x02982000001088420\x03", number: "982000001088420"},
		{text: "LR 982 000001088420", number: "982000001088420", warning: "no animal's transponder"},
		{text: "8000F65A143841C8", number: "985112008380872"}, // reader manual, AEG
		{text: "8000f5 8000109ba4", number: "982000001088420"},
		{text: "0x8000091CBE991A14", number: "036123456789012"},
		{text: "0000F58BA7DE3D41", number: "982050061000001", warning: "not coded as an animal's"},
		{text: "8002F58000109BA4", number: "982000001088420", warning: "reserved bits are 1"},
		{text: "10000000982000001088420", number: "982000001088420"},
		{text: "1 0 00 00 0 0036 123456789012", number: "036123456789012"},
		{text: "999000000000001", number: "999000000000001", warning: "999 is for tests"},
		{text: "037123456789012", number: "037123456789012", warning: "037 is no country"},
		{text: "998000000000001", number: "998000000000001"},
		{text: "982274877906943", number: "982274877906943"}, // 2^38-1
		{text: "7f7d12ab34", number: "7F7D12AB34", older: true},
		{text: "00-0123-4AB7", number: "0001234AB7", older: true},
		{text: "0123456789", number: "0123456789", older: true, warning: "10 digits"},
		{text: "123*456*789", number: "123*456*789", older: true},
	} {
		got, err := mark.ParseTransponder(c.text)
		if err != nil {
			t.Errorf("%q: %v", c.text, err)
			continue
		}
		warnings := strings.Join(got.Warnings, "; ")
		if got.Number != c.number || got.Older != c.older || !strings.Contains(warnings, c.warning) || (c.warning == "") != (warnings == "") {
			t.Errorf("%q: %+v, want %s, older %t, warning %q", c.text, got, c.number, c.older, c.warning)
		}
	}
}

func TestParseTransponderRefuses(t *testing.T) {
	t.Parallel()
	for _, c := range []struct{ text, says string }{
		{"", "empty"},
		{"\u00a0", "empty"},
		{"98200000108842", "14 digits, 15 expected"},
		{"9820000010884201", "16 digits, 15 expected"},
		{"9991110662408831", "16 digits"},
		{"36123456789012", "if it was 036123456789012"},
		{"8123456789012", "if it was 008123456789012"},
		{"982274877906944", "above 274877906943"},
		{"000000000000017", "code 000"},
		{"8000FA0000000001", "code 1000 does not fit"},
		{"8000FFC000000001", "code 1023 does not fit"},
		{"10000001000000000000001", "code 1000 does not fit"},
		{"20000000982000001088420", "0 or 1"},
		{"18000000982000001088420", "retag 8"},
		{"9.99E+14", "digits are lost"},
		{"9,85121e+14", "digits are lost"},
		{"985121004515220.0", "kept it as a number"},
		{"985121000000000", "rounding"},
		{"LA 982 00000108842", "14 characters"},
		{"LA", "0 characters"},
		{"982 00000lO88420", "neither 15 digits"},
		{"hello there", "neither"},
	} {
		got, err := mark.ParseTransponder(c.text)
		if err == nil || !strings.Contains(err.Error(), c.says) {
			t.Errorf("%q: %+v, error %v; want an error with %q", c.text, got, err, c.says)
		}
	}
}

// Every valid number reads back from each of the ways of writing it.
func TestTransponderWaysOfWriting(t *testing.T) {
	t.Parallel()
	rapid.Check(t, func(t *rapid.T) {
		id := mark.Identification{
			Animal:   true,
			Country:  uint16(rapid.IntRange(1, 999).Draw(t, "country")),
			National: rapid.Uint64Range(1, mark.MaxNational).Filter(func(n uint64) bool { return n%1e9 != 0 }).Draw(t, "national"),
		}
		bits, err := id.Bits()
		if err != nil {
			t.Fatal(err)
		}
		n := id.Number()
		for _, text := range []string{
			n, n[:3] + " " + n[3:], "LA " + n[:3] + " " + n[3:] + "\r\n", "\x02" + n,
			fmt.Sprintf("0x%016X", bits), "10000000" + n,
		} {
			got, err := mark.ParseTransponder(text)
			if err != nil || got.Number != n {
				t.Fatalf("%q: %+v, %v; want %s", text, got, err, n)
			}
		}
	})
}

func TestLooksRead(t *testing.T) {
	t.Parallel()
	for text, want := range map[string]bool{
		"LA 982 000001088420\r\n":             true,
		"\x02LA 00000 0 982 000001088420\r\n": true,
		"982000001088420\n":                   true,
		"98200000108842":                      true, // damaged, but no person's number
		"982 000001088420":                    true,
		"8000F65A143841C8":                    true,
		"10000000982000001088420":             true,
		"la tail scarred":                     false,
		"la 12":                               false,
		"LA 982 00000108":                     true, // cut short
		"ends 311":                            false,
		"982 721 951 152 411":                 false, // fifteen digits of measurements
		"940":                                 false,
		"7F7D12AB34":                          false,
		"":                                    false,
	} {
		if got := mark.LooksRead(text); got != want {
			t.Errorf("%q: %t", text, got)
		}
	}
}

func FuzzParseTransponder(f *testing.F) {
	for _, text := range []string{"982 000001088420", "LA 00000 0 982 000001088420\r\n", "8000F65A143841C8",
		"10000000982000001088420", "9.99E+14", "123*456*789", "7f7d12ab34", "\x02\u00a0"} {
		f.Add(text)
	}
	f.Fuzz(func(t *testing.T, text string) {
		mark.LooksRead(text)
		first, err := mark.ParseTransponder(text)
		if err != nil {
			return
		}
		if !first.Older && (len(first.Number) != 15 || strings.Trim(first.Number, "0123456789") != "") {
			t.Fatalf("%q: %q is not 15 digits", text, first.Number)
		}
		again, err := mark.ParseTransponder(first.Number)
		if !first.Older && strings.HasSuffix(first.Number, "000000000") {
			return // taken from the bits; typed, it would look rounded
		}
		if err != nil || again.Number != first.Number || again.Older != first.Older {
			t.Fatalf("%q gave %q, which reads as %+v, %v", text, first.Number, again, err)
		}
	})
}
