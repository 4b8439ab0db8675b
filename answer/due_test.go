package answer_test

import (
	"testing"
	"time"

	"dawnround/answer"
	"dawnround/record"
)

// What is done is not due, what is late comes first, and what has no date comes
// last.
func TestWhatIsDue(t *testing.T) {
	t.Parallel()
	now := clock()
	w := newWorld(1)
	capture := w.caught("T1", 1)
	add := func(n int, what string, due time.Time) {
		w.lines = append(w.lines, record.FollowUp{FollowUp: id(n), On: capture.String(), What: what, Due: due})
	}
	add(8001, "undated", time.Time{})
	add(8002, "soon", now.AddDate(0, 0, 3))
	add(8003, "late", now.AddDate(0, 0, -3))
	add(8004, "far", now.AddDate(0, 0, 40))
	add(8005, "done", now.AddDate(0, 0, 1))
	w.lines = append(w.lines, record.Done{FollowUp: id(8005), Result: "seen, well", At: now})
	got := answer.WhatIsDue(w.fold(t), now, now.AddDate(0, 0, 30))
	var order []string
	for _, task := range got.Tasks {
		order = append(order, task.What)
		if task.On != "T1" || task.Late != (task.What == "late") {
			t.Errorf("%+v", task)
		}
	}
	if s := asJSON(t, order); s != `["late","soon","undated"]` {
		t.Errorf("due %s", s)
	}
	if got.Picture().Empty() {
		t.Error("not drawn")
	}
}

// The demo's bandicoots have young in the pouch on its last trip: whoever was
// last seen with them may have them loose within two months, and none sooner
// than she was seen.
func TestPouchesOfTheDemo(t *testing.T) {
	t.Parallel()
	r, _ := demoOf(t, 1)
	from := time.Date(2026, 11, 25, 0, 0, 0, 0, time.UTC)
	got := answer.WhatIsDue(r, from, from.AddDate(0, 0, 30)).Pouches
	if len(got) == 0 {
		t.Fatal("no pouch to leave closed")
	}
	for _, p := range got {
		if p.Species != "NB" || p.Exit.To.Before(from) || p.Exit.From.After(from.AddDate(0, 0, 30)) || p.Exit.From.Before(from.AddDate(0, 0, -62)) {
			t.Errorf("%+v", p)
		}
	}
}
