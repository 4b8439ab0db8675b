package programme

import "dawnround/notebook"

// AdoptFork keeps both branches of a device that was written at two places, by
// one recorded act, and folds what is new. who is the person on whose device
// this happens.
func (p *Programme) AdoptFork(who string, f *notebook.Fork) error {
	p.mu.Lock()
	defer p.mu.Unlock()
	lines, err := p.notebook.AdoptFork(who, f)
	p.fold(lines)
	return err
}
