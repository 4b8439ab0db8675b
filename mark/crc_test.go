package mark

import (
	"strings"
	"testing"
)

func TestCRC(t *testing.T) {
	t.Parallel()
	// The check word of CRC-16 with these settings, in every list of CRCs.
	if got := crc([]byte("123456789")); got != 0x2189 {
		t.Errorf("check word %04X, want 2189", got)
	}
}

// A code above 999 arrives with a sound CRC, and is still refused.
func TestDecodeRefusesCodesAbove999(t *testing.T) {
	t.Parallel()
	for country, says := range map[uint64]string{0: "000", 1000: "1000", 1023: "1023"} {
		var groups [13]byte
		copy(groups[:], Telegram{}.groups(1<<63|country<<38|1))
		if _, err := decodeGroups(groups); err == nil || !strings.Contains(err.Error(), says) {
			t.Errorf("country %d: %v", country, err)
		}
	}
}

func TestAssignedCodes(t *testing.T) {
	t.Parallel()
	// Australia, New Zealand, Germany, Norway, France (ISO 3166-1).
	for _, code := range []uint16{36, 554, 276, 578, 250} {
		if !assigned[code] {
			t.Errorf("%03d is assigned", code)
		}
	}
	if assigned[0] || assigned[37] || assigned[900] || len(assigned) != 249 {
		t.Errorf("%d codes, 249 countries and areas expected", len(assigned))
	}
}
