package record

import (
	"encoding/json"
	"errors"
	"fmt"

	"dawnround/notebook"
)

// Body is what one line says. Each kind of line has one Go type.
type Body interface {
	// Kind is the word stored in the line's header.
	Kind() string
}

// ErrUnknownKind is returned for a line whose kind this version cannot read.
// Such a line is kept, verified and relayed all the same.
var ErrUnknownKind = errors.New("a kind this version cannot read")

// read maps the kind in a line's header to a reader of its body.
var read = map[string]func([]byte) (Body, error){
	"programme":  as[Programme],
	"device":     as[Device],
	"clock":      as[ClockOffset],
	"admitted":   as[Admitted],
	"shut-out":   as[ShutOut],
	"protocol":   as[Protocol],
	"person":     as[Person],
	"site":       as[Site],
	"trap":       as[Trap],
	"trip":       as[Trip],
	"labels":     as[Labels],
	"tare":       as[Tare],
	"set":        as[Setting],
	"round":      as[Round],
	"round-end":  as[RoundEnd],
	"close":      as[Closing],
	"check":      as[Check],
	"effort":     as[Effort],
	"weather":    as[Weather],
	"capture":    as[Capture],
	"note":       as[Note],
	"attachment": as[Attachment],
	"mother":     as[Mother],
	"same":       as[Same],
	"apart":      as[Apart],
	"correction": as[Correction],
	"strike":     as[Strike],
	"flag":       as[FlagAct],
	"follow-up":  as[FollowUp],
	"done":       as[Done],
	"lock":       as[Lock],
	"curve":      as[Curve],
	"fork":       as[Fork],
}

func as[B Body](body []byte) (Body, error) {
	var b B
	if err := json.Unmarshal(body, &b); err != nil {
		return nil, err
	}
	return b, nil
}

// Read gives the typed body of a line. The error is ErrUnknownKind for a kind
// or a format this version does not know, and names the line otherwise.
func Read(line notebook.Line) (Body, error) {
	f, ok := read[line.Kind]
	if !ok || line.Format != notebook.Format {
		return nil, ErrUnknownKind
	}
	b, err := f(line.Body)
	if err != nil {
		return nil, fmt.Errorf("line %s (%s by %s): %w", line.ID, line.Kind, line.Who, err)
	}
	return b, nil
}

// Entry makes the notebook entry that keeps a body, written by who.
func Entry(who string, b Body) (notebook.Entry, error) {
	body, err := json.Marshal(b)
	if err != nil {
		return notebook.Entry{}, fmt.Errorf("%s line by %s: %w", b.Kind(), who, err)
	}
	return notebook.Entry{Who: who, Kind: b.Kind(), Body: body}, nil
}
