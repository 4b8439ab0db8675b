package protocol_test

import (
	"slices"
	"strings"
	"testing"
	"time"

	"dawnround/protocol"
	"dawnround/record"

	"github.com/google/uuid"
)

const followText = `name: invented
zone: Australia/Brisbane
species: [{code: A, name: animal}]
marks: [{id: chip, form: transponder}]
samples: [{id: biopsy}, {id: film}]
findings: {parts: [{id: ear}], signs: [{id: wound}, {id: tick}]}
follow-ups:
  - {when: young at foot, do: look at dawn, within hours: 24}
  - {when: finding, of: wound, do: look again, after days: 14}
  - {when: sample, do: into the cold, within hours: 12, who: MO}
  - {when: mark put, of: chip, do: scan again}
incidents:
  - {kind: young ejected, report within hours: 72, report to: ethics committee, source: invented approval}
`

func TestFollowUpsComeOfWhatWasSeen(t *testing.T) {
	t.Parallel()
	p, err := protocol.Parse("p.yaml", []byte(followText))
	if err != nil {
		t.Fatal(err)
	}
	at := time.Date(2026, 5, 14, 6, 0, 0, 0, time.UTC)
	c := record.Capture{
		Capture: uuid.UUID{1},
		Handled: &record.Handled{
			Young:     []record.Young{{Where: "at foot"}},
			Findings:  []record.Finding{{Part: "ear", Sign: "tick"}, {Part: "ear", Sign: "wound", State: record.NoneSeen}},
			Samples:   []record.Sample{{Kind: "biopsy"}, {Kind: "film"}},
			Marks:     []record.Mark{{Kind: "chip", Act: record.MarkRead}},
			Incidents: []record.Incident{{Kind: "young ejected"}, {Kind: "torpor"}},
		},
		Released: &record.Released{Fate: record.FateReleased},
	}
	var got []string
	for _, f := range p.FollowUps(c, at, uuid.New) {
		if f.On != c.Capture.String() || f.FollowUp == uuid.Nil {
			t.Errorf("%+v", f)
		}
		got = append(got, strings.TrimSpace(f.What+" by "+f.Due.Format(time.RFC3339)+" "+f.Who))
	}
	want := []string{"look at dawn by 2026-05-15T06:00:00Z", "into the cold by 2026-05-14T18:00:00Z MO", "report to ethics committee: young ejected by 2026-05-17T06:00:00Z"}
	if !slices.Equal(got, want) {
		t.Errorf("got  %q\nwant %q", got, want)
	}
	if p.FollowUps(record.Capture{Capture: uuid.UUID{1}}, at, uuid.New) != nil {
		t.Error("a follow-up of an animal nobody handled")
	}
}

func TestEveryIncidentHasItsSteps(t *testing.T) {
	t.Parallel()
	p, err := protocol.Parse("p.yaml", []byte(followText))
	if err != nil {
		t.Fatal(err)
	}
	for _, kind := range protocol.IncidentKinds {
		if i := p.IncidentOf(kind); len(i.Steps) == 0 || i.Source == "" {
			t.Errorf("%s: %+v", kind, i)
		}
	}
}

func TestFollowUpsThatCannotStand(t *testing.T) {
	t.Parallel()
	for _, c := range []struct{ old, with, want string }{
		{"when: young at foot", "when: full moon", "is not known here"},
		{"of: wound", "of: bruise", "is not known here"},
		{"do: look again", "do: ''", "nothing to do"},
		{"within hours: 12", "within hours: -1", "below zero"},
		{"after days: 14", "after days: 14, within hours: 2", "two times"},
		{"report to: ethics committee, ", "", "a deadline without whom"},
		{"kind: young ejected", "kind: rain", "is not known here"},
		{"when: young at foot, do", "when: young at foot, of: chip, do", "has no kinds"},
	} {
		_, err := protocol.Parse("p.yaml", []byte(strings.Replace(followText, c.old, c.with, 1)))
		if err == nil || !strings.Contains(err.Error(), c.want) {
			t.Errorf("%s: %v, want %q", c.with, err, c.want)
		}
	}
}
