package mark

import (
	"fmt"
	"math/bits"
	"strings"
)

// A Telegram is what an FDX-B transponder sends over and over.
type Telegram struct {
	ID      Identification
	Trailer [3]byte // extension bits, in the order sent; zero today and not covered by the CRC
}

const (
	telegramBits = 128
	header       = "00000000001"
)

// Encode writes the telegram as 128 characters 0 and 1 in the order sent:
// header (11), identification (8 groups of 8, lowest bit first), CRC (2
// groups), trailer (3 groups), each group followed by the control bit 1 that
// keeps the header's pattern from appearing inside. Layout: data sheet H4005
// (EM Microelectronic), after ISO 11785.
func (t Telegram) Encode() (string, error) {
	code, err := t.ID.Bits()
	if err != nil {
		return "", err
	}
	var b strings.Builder
	b.WriteString(header)
	for _, group := range t.groups(code) {
		fmt.Fprintf(&b, "%08b1", bits.Reverse8(group))
	}
	return b.String(), nil
}

// groups are the 13 bytes between the control bits, in the order sent.
func (t Telegram) groups(code uint64) []byte {
	sent := make([]byte, 0, 13)
	for i := range 8 {
		sent = append(sent, byte(code>>(8*i)))
	}
	check := crc(sent)
	sent = append(sent, byte(check), byte(check>>8))
	return append(sent, t.Trailer[:]...)
}

// DecodeTelegram reads 128 characters 0 and 1 in the order sent, starting
// with the header. It refuses a wrong header, control bit or CRC, and a code
// that no valid transponder carries.
func DecodeTelegram(sent string) (Telegram, error) {
	if len(sent) != telegramBits || strings.Trim(sent, "01") != "" {
		return Telegram{}, fmt.Errorf("telegram: %d characters; 128 characters 0 or 1 expected", len(sent))
	}
	if !strings.HasPrefix(sent, header) {
		return Telegram{}, fmt.Errorf("telegram: header %s, %s expected; start at the header", sent[:len(header)], header)
	}
	var groups [13]byte
	for i := range groups {
		start := len(header) + 9*i
		for j := range 8 {
			groups[i] |= (sent[start+j] - '0') << j
		}
		if sent[start+8] != '1' {
			return Telegram{}, fmt.Errorf("telegram: bit %d is 0, the control bit 1 expected; read again", start+9)
		}
	}
	return decodeGroups(groups)
}

func decodeGroups(groups [13]byte) (Telegram, error) {
	got, want := uint16(groups[8])|uint16(groups[9])<<8, crc(groups[:8])
	if got != want {
		return Telegram{}, fmt.Errorf("telegram: CRC %04X, %04X expected; read again", got, want)
	}
	var code uint64
	for i, group := range groups[:8] {
		code |= uint64(group) << (8 * i)
	}
	t := Telegram{ID: unpack(code), Trailer: [3]byte(groups[10:])}
	return t, t.ID.check()
}

// crc is the check word of ISO 11785: x^16+x^12+x^5+1, start value 0, lowest
// bit first, nothing added at the end. Its check word of "123456789" is 2189.
func crc(data []byte) uint16 {
	var sum uint16
	for _, b := range data {
		sum ^= uint16(b)
		for range 8 {
			low := sum & 1
			sum >>= 1
			sum ^= 0x8408 * low
		}
	}
	return sum
}
