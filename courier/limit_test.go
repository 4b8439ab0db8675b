package courier_test

import (
	"bytes"
	"strings"
	"testing"

	"dawnround/notebook"
	"dawnround/record"
	"dawnround/register"
)

// A volunteer's phone that is limited to one site gets that site's coordinates
// and all else, and nothing of where other sites' traps are; what it writes is
// taken, and it passes nothing else on.
func TestLimitedToOneSite(t *testing.T) {
	t.Parallel()
	phone, other := newMember(t, 2, 0), newMember(t, 3, 0)
	laptop := newCrew(t, phone, other)
	laptop.keep(t, record.Admitted{Device: phone.device(), Name: "volunteer", Role: record.Scribe, Site: "NR"})
	here := record.Trap{Site: "NR", Trap: "K1", Lat: -42.125, Lon: 147.25, Datum: "GDA2020"}
	there := record.Trap{Site: "SR", Trap: "L1", Lat: -42.5625, Lon: 147.75, Datum: "GDA2020"}
	lines := laptop.keep(t, here, there)
	var moved record.Correction
	laptop.Programme.View(func(r *register.Register) {
		var err error
		if moved, err = r.Correct(lines[1], "/lat", -42.5627, "read again"); err != nil {
			t.Fatal(err)
		}
	})
	old := adoption(t, "with seeds", "")
	old.Text += "seeds: {sites: [{site: SR, name: South, datum: GDA2020, traps: [{trap: L1, kind: cage, lat: -42.5625, lon: 147.75}]}]}\n"
	laptop.keep(t, moved, old, adoption(t, "without", old.Version), record.Note{On: "trap SR/L1", Text: "ants"})
	other.notes(t, 500)
	sync(t, other, laptop)

	phone.Side.Site = "NR"
	s := sync(t, phone, laptop)
	if len(s.Waiting) != 0 {
		t.Fatalf("%s", s.Says())
	}
	var export bytes.Buffer
	if err := notebook.Export(&export, phone.store); err != nil {
		t.Fatal(err)
	}
	for _, secret := range []string{"42.56", "147.75"} {
		if strings.Contains(export.String(), secret) {
			t.Errorf("the phone holds %s", secret)
		}
	}
	phone.Programme.View(func(r *register.Register) {
		if len(r.AllTraps()) != 1 || r.AllTraps()[0] != here || r.Protocol().Name != "without" || len(r.Notes("trap SR/L1")) != 1 {
			t.Errorf("the phone knows %v, protocol %q", r.AllTraps(), r.Protocol().Name)
		}
		if n := r.Unread()[notebook.WithheldKind]; n != 3 {
			t.Errorf("%d lines are withheld, want the position, its correction and the protocol with seeds", n)
		}
	})
	if _, err := notebook.Verify(phone.store, nil); err != nil {
		t.Error(err)
	}
	if s, err := phone.Import(bytes.NewReader(stick(t, laptop, nil))); err != nil || s.Came != 0 {
		t.Errorf("a file with all: %s, %v", s.Says(), err)
	}
	fresh := newMember(t, 4, 0)
	fresh.Side.Site = "NR"
	if _, err := fresh.Import(bytes.NewReader(stick(t, laptop, nil))); err != nil {
		t.Error(err)
	}
	export.Reset()
	if err := notebook.Export(&export, fresh.store); err != nil || strings.Contains(export.String(), "147.75") {
		t.Errorf("a file brings in what the laptop withholds: %v", err)
	}
	phone.notes(t, 3)
	if s := sync(t, phone, laptop); s.Sent != 3 {
		t.Errorf("%s", s.Says())
	}
	before := other.saved(t)
	if s, err := other.Import(bytes.NewReader(stick(t, phone, nil))); err != nil || s.Came != 3 {
		t.Errorf("its own lines go on by file, and no others: %s, %v", s.Says(), err)
	}
	if before == other.saved(t) {
		t.Error("nothing came")
	}
	sync(t, other, laptop)
	alike(t, other, laptop)
}
