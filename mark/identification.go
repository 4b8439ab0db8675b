package mark

import "fmt"

// MaxNational is the largest national number: ISO 11784 gives it 38 bits.
const MaxNational = 1<<38 - 1 // 274877906943

// An Identification is the 64-bit code of ISO 11784, bit 1 being the highest.
type Identification struct {
	Animal   bool   // bit 1: the transponder is in an animal
	Retag    uint8  // bits 2-4: retagging counter, 0-7
	User     uint8  // bits 5-9: user information field, 0-31
	Reserved uint8  // bits 10-15: zero today, 0-63
	Data     bool   // bit 16: a data block follows
	Country  uint16 // bits 17-26: country 1-899 or manufacturer 900-998; 999 is for tests
	National uint64 // bits 27-64: 0 to MaxNational
}

// Number is the number as printed: three digits of country or manufacturer,
// then the national number in twelve.
func (id Identification) Number() string {
	return fmt.Sprintf("%03d%012d", id.Country, id.National)
}

// Bits packs the code into 64 bits. A field too large for its bits is an
// error.
func (id Identification) Bits() (uint64, error) {
	if id.Retag > 7 || id.User > 31 || id.Reserved > 63 {
		return 0, fmt.Errorf("transponder %s: retag %d, user %d, reserved %d: at most 7, 31 and 63 fit",
			id.Number(), id.Retag, id.User, id.Reserved)
	}
	if err := id.check(); err != nil {
		return 0, err
	}
	bits := uint64(id.Retag)<<60 | uint64(id.User)<<55 | uint64(id.Reserved)<<49 |
		uint64(id.Country)<<38 | id.National
	if id.Animal {
		bits |= 1 << 63
	}
	if id.Data {
		bits |= 1 << 48
	}
	return bits, nil
}

func unpack(bits uint64) Identification {
	return Identification{
		Animal:   bits>>63 == 1,
		Retag:    uint8(bits >> 60 & 7),
		User:     uint8(bits >> 55 & 31),
		Reserved: uint8(bits >> 49 & 63),
		Data:     bits>>48&1 == 1,
		Country:  uint16(bits >> 38 & 1023),
		National: bits & MaxNational,
	}
}

// check refuses a code that no valid transponder carries.
func (id Identification) check() error {
	number := id.Number()
	switch {
	case id.Country == 0:
		return fmt.Errorf("transponder %s: code 000 is nobody's; the first three digits name a country (001-899) or a manufacturer (900-998); scan again", number)
	case id.Country > 999:
		return fmt.Errorf("transponder %s: code %d does not fit three digits; codes end at 999; scan again", number, id.Country)
	case id.National > MaxNational:
		return fmt.Errorf("transponder %s: the last twelve digits %012d are above %d, the most a chip can carry; a digit is wrong: scan again", number, id.National, uint64(MaxNational))
	}
	return nil
}

// warnings says what is odd about a code that may still be true.
func (id Identification) warnings() []string {
	var odd []string
	switch {
	case id.Country == 999:
		odd = append(odd, "code 999 is for tests and not unique")
	case id.Country < 900 && !assigned[id.Country]:
		odd = append(odd, fmt.Sprintf("code %03d is no country of ISO 3166-1; check the first three digits", id.Country))
	}
	return odd
}

// flags says what the code's other bits have to tell; a printed number does
// not show them.
func (id Identification) flags() []string {
	var odd []string
	if !id.Animal {
		odd = append(odd, "the transponder is not coded as an animal's")
	}
	if id.Reserved != 0 {
		odd = append(odd, fmt.Sprintf("the reserved bits are %d, not zero", id.Reserved))
	}
	return odd
}
