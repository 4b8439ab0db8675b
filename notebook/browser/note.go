package browser

// A Note is a small text that is replaced whole: the last one stands.
type Note struct {
	journal *Journal
	text    []byte
}

// noteRoom is how long a note's file grows before it is begun anew.
const noteRoom = 256 << 10

// Note opens a note of the vault.
func (v *Vault) Note(name string) (*Note, error) {
	n := &Note{}
	var err error
	n.journal, err = v.Journal(name, 0, func(f Frame) error { n.text = f.Text; return nil })
	return n, err
}

// Text is what stands there; nil where nothing was ever put.
func (n *Note) Text() []byte { return n.text }

// Put replaces the text, and returns nil only once a power cut leaves the new one.
func (n *Note) Put(text []byte) error {
	if _, err := n.journal.Add(text); err != nil {
		return err
	}
	n.text = append([]byte{}, text...)
	return nil
}

// Tidy begins the file anew where it has grown long. A power cut in the middle
// loses the text, so it is for what can be done without.
func (n *Note) Tidy() error {
	if n.journal.end < noteRoom {
		return nil
	}
	if err := n.journal.Forget(); err != nil {
		return err
	}
	return n.Put(n.text)
}

// Close gives the file back.
func (n *Note) Close() error { return n.journal.Close() }
