package notebook

// validJSON tells whether b is one JSON value (RFC 8259), as json.Valid does, but
// several times faster: opening a notebook asks it of every line. It does not
// judge UTF-8, and it allows no raw line breaks.
func validJSON(b []byte) bool {
	i := jsonValue(b, space(b, 0), 0)
	return i > 0 && space(b, i) == len(b)
}

// deepest is how deep values may nest; encoding/json has the same limit.
const deepest = 10000

// jsonValue gives the place after the value that begins at i, or -1.
func jsonValue(b []byte, i, depth int) int {
	if i >= len(b) || depth > deepest {
		return -1
	}
	switch b[i] {
	case '"':
		return jsonString(b, i)
	case '{':
		return jsonList(b, i, depth, '}', jsonMember)
	case '[':
		return jsonList(b, i, depth, ']', jsonValue)
	case 't':
		return jsonWord(b, i, "true")
	case 'f':
		return jsonWord(b, i, "false")
	case 'n':
		return jsonWord(b, i, "null")
	}
	return jsonNumber(b, i)
}

// jsonList reads items separated by commas, up to end.
func jsonList(b []byte, i, depth int, end byte, item func([]byte, int, int) int) int {
	if i = space(b, i+1); i < len(b) && b[i] == end {
		return i + 1
	}
	for {
		if i = item(b, i, depth+1); i < 0 {
			return -1
		}
		if i = space(b, i); i >= len(b) || b[i] != ',' {
			break
		}
		i = space(b, i+1)
	}
	if i >= len(b) || b[i] != end {
		return -1
	}
	return i + 1
}

// jsonMember reads a name, a colon and a value.
func jsonMember(b []byte, i, depth int) int {
	if i >= len(b) || b[i] != '"' {
		return -1
	}
	if i = jsonString(b, i); i < 0 {
		return -1
	}
	if i = space(b, i); i >= len(b) || b[i] != ':' {
		return -1
	}
	return jsonValue(b, space(b, i+1), depth)
}

func jsonString(b []byte, i int) int {
	for i++; i < len(b); i++ {
		switch c := b[i]; {
		case c == '"':
			return i + 1
		case c < ' ':
			return -1
		case c == '\\':
			if i = jsonEscape(b, i+1); i < 0 {
				return -1
			}
		}
	}
	return -1
}

// jsonEscape gives the last place of the escape whose letter stands at i.
func jsonEscape(b []byte, i int) int {
	if i >= len(b) {
		return -1
	}
	switch b[i] {
	case '"', '\\', '/', 'b', 'f', 'n', 'r', 't':
		return i
	case 'u':
		if i+4 >= len(b) {
			return -1
		}
		for _, c := range b[i+1 : i+5] {
			if hexDigit[c] > 0xf && (c < 'A' || c > 'F') {
				return -1
			}
		}
		return i + 4
	}
	return -1
}

func jsonNumber(b []byte, i int) int {
	if b[i] == '-' {
		i++
	}
	if i < len(b) && b[i] == '0' {
		i++
	} else if i = digits(b, i); i < 0 {
		return -1
	}
	if i < len(b) && b[i] == '.' {
		if i = digits(b, i+1); i < 0 {
			return -1
		}
	}
	if i < len(b) && b[i]|0x20 == 'e' {
		i++
		if i < len(b) && (b[i] == '+' || b[i] == '-') {
			i++
		}
		return digits(b, i)
	}
	return i
}

// digits reads at least one digit.
func digits(b []byte, i int) int {
	from := i
	for i < len(b) && b[i]-'0' <= 9 {
		i++
	}
	if i == from {
		return -1
	}
	return i
}

func jsonWord(b []byte, i int, word string) int {
	if len(b)-i < len(word) || string(b[i:i+len(word)]) != word {
		return -1
	}
	return i + len(word)
}

func space(b []byte, i int) int {
	for i < len(b) && (b[i] == ' ' || b[i] == '\t') {
		i++
	}
	return i
}
