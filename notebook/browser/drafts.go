package browser

import (
	"bytes"
	"fmt"
	"maps"
	"slices"

	"github.com/google/uuid"
)

// A frame of drafts is what was done, whose draft, and the step's words.
const (
	addStep   = 'A'
	dropDraft = 'D'
)

// tidyDrafts is how long the file grows before it is begun anew, once nothing
// is in the hand.
const tidyDrafts = 1 << 20

// takeStep takes in one thing done to what is in the hand.
func (s *Store) takeStep(f Frame) error {
	if len(f.Text) < 1+len(uuid.UUID{}) {
		return fmt.Errorf("a step of %d bytes", len(f.Text))
	}
	draft := uuid.UUID(f.Text[1:17])
	if f.Text[0] == dropDraft {
		delete(s.steps, draft)
	} else {
		s.steps[draft] = append(s.steps[draft], f.Text[17:])
	}
	return nil
}

// Add keeps one more step of a draft: see notebook.Drafts.
func (s *Store) Add(draft uuid.UUID, step []byte) error {
	s.mu.Lock()
	defer s.mu.Unlock()
	if _, err := s.drafts.Add(slices.Concat([]byte{addStep}, draft[:], step)); err != nil {
		return fmt.Errorf("the phone's storage does not take it: %w; make room on the phone", err)
	}
	s.steps[draft] = append(s.steps[draft], bytes.Clone(step))
	return nil
}

// Drop forgets a draft: see notebook.Drafts.
func (s *Store) Drop(draft uuid.UUID) error {
	s.mu.Lock()
	defer s.mu.Unlock()
	if _, open := s.steps[draft]; !open {
		return nil
	}
	if _, err := s.drafts.Add(slices.Concat([]byte{dropDraft}, draft[:])); err != nil {
		return err
	}
	delete(s.steps, draft)
	if len(s.steps) == 0 && s.drafts.end > tidyDrafts {
		return s.drafts.Forget()
	}
	return nil
}

// All gives the steps of every open draft: see notebook.Drafts.
func (s *Store) All() (map[uuid.UUID][][]byte, error) {
	s.mu.Lock()
	defer s.mu.Unlock()
	all := maps.Clone(s.steps)
	for draft, steps := range all {
		all[draft] = slices.Clone(steps)
	}
	return all, nil
}

// InHand is how many drafts are open.
func (s *Store) InHand() int {
	s.mu.Lock()
	defer s.mu.Unlock()
	return len(s.steps)
}
