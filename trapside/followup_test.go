package trapside_test

import (
	"os"
	"testing"
	"time"

	"dawnround/register"
)

// TestReleaseWritesWhatMustBeDone: the protocol's follow-ups come with the line
// that lets the animal go, once.
func TestReleaseWritesWhatMustBeDone(t *testing.T) {
	t.Parallel()
	text, err := os.ReadFile("testdata/protocol.yaml")
	if err != nil {
		t.Fatal(err)
	}
	d := openWith(t, append(text, []byte("\nfollow-ups:\n  - {when: incident, of: young ejected, do: look at dawn, within hours: 24}\n"+
		"incidents:\n  - {kind: young ejected, report within hours: 72, report to: ethics committee, source: invented}\n")...))
	card := d.caught()
	d.in(card, "species", "RW")
	d.in(card, "incidents/+/young ejected", "found in the bag, warm, put back")
	d.letGo(card)
	d.letGo(card)
	d.view(func(r *register.Register) {
		tasks := r.FollowUps()
		if len(tasks) != 2 {
			t.Fatalf("%+v", tasks)
		}
		for _, task := range tasks {
			want := d.now.Add(24 * time.Hour)
			if task.What == "report to ethics committee: young ejected" {
				want = d.now.Add(72 * time.Hour)
			}
			if !task.Due.Equal(want) {
				t.Errorf("%s due %s, want %s", task.What, task.Due, want)
			}
		}
	})
}
