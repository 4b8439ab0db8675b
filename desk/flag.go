package desk

import (
	"fmt"
	"slices"

	"dawnround/check"
	"dawnround/page"
	"dawnround/record"

	"github.com/google/uuid"
)

// Flag is a flag with what was done about it.
type Flag struct {
	Grade    record.Grade `json:"grade"`
	Says     string       `json:"says"`
	Rule     string       `json:"rule"`
	Key      string       `json:"key"`
	Of       uuid.UUID    `json:"of"`
	Evidence string       `json:"evidence"`
	Field    string       `json:"field,omitempty"`
	Settled  bool         `json:"settled"`
	Limit    bool         `json:"limit,omitempty"` // of the team's own approval
	Acts     []FlagAct    `json:"acts,omitempty"`

	beside []uuid.UUID // other captures that bear on it
}

// FlagAct is one thing done about a flag.
type FlagAct struct {
	Act string `json:"act"`
	How string `json:"how,omitempty"`
	At  string `json:"at,omitempty"`
}

// flagsOf gives the flags of a capture, the loudest first, settled ones last.
func (w words) flagsOf(capture uuid.UUID) []Flag {
	var out []Flag
	for _, f := range check.Kept(w.Register, capture, w.now) {
		if f.Subject == capture {
			out = append(out, w.flag(f))
		}
	}
	slices.SortStableFunc(out, func(a, b Flag) int { return a.rank() - b.rank() })
	return out
}

func (w words) flag(f record.Flag) Flag {
	out := Flag{
		Grade: f.Grade, Says: f.Says, Rule: f.Rule, Key: f.Key(), Of: f.Subject, Evidence: f.Evidence, Field: f.Field,
		Settled: w.Settled(f), Limit: check.OfApproval(f.Rule), beside: f.Beside,
	}
	for _, a := range w.FlagActs(f) {
		out.Acts = append(out.Acts, FlagAct{a.Act, a.How, w.clock(a.At, record.Night{})})
	}
	return out
}

// ofDevices reports a flag about devices rather than an animal: there is nothing
// to measure again.
func (f Flag) ofDevices() bool {
	return f.Field == "device" || f.Field == "clock" || f.Field == "lock"
}

func (f Flag) rank() int {
	rank := map[record.Grade]int{record.Stop: 0, record.Look: 1, record.Remark: 2}[f.Grade]
	if f.Settled {
		rank += 3
	}
	return rank
}

// word is the grade in a word, said before the sentence; a limit that was
// passed is nothing impossible.
func (f Flag) word() string {
	if f.Limit {
		return page.LimitWord(string(f.Grade))
	}
	return map[record.Grade]string{record.Stop: "Cannot be.", record.Look: "Look again.", record.Remark: "Note."}[f.Grade]
}

// says is the flag in full.
func (f Flag) says() string { return spaced(f.word(), sentence(f.Says)) }

// settleFlag makes the line that settles a flag, if it still stands on the
// same evidence.
func settleFlag(w words, f form) ([]record.Body, error) {
	of, err := f.id("of")
	if err != nil {
		return nil, err
	}
	how := f.text("how")
	if how == "" {
		return nil, fmt.Errorf("how it was settled is missing; choose confirmed, corrected or measured again")
	}
	for _, x := range check.Kept(w.Register, of, w.now) {
		if x.Key() == f.Get("flag") {
			return []record.Body{record.FlagAct{Flag: x.Key(), Rule: x.Rule, Of: of, Act: record.FlagSettled, How: how, At: w.now.UTC()}}, nil
		}
	}
	if settled, ok := settledParty(w, of, f.Get("flag"), how); ok {
		return settled, nil
	}
	return nil, fmt.Errorf("this flag no longer stands: its values have changed since the page was written; load the page again")
}
