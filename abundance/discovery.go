package abundance

// A Discovered is a point of the discovery curve.
type Discovered struct {
	Night    int     // 1 is the first
	Known    int     // animals known by its end
	Expected float64 // mean number known after so many nights, whichever nights they were
}

// DiscoveryCurve tells how the number of known animals grew. Expected is the
// mean over all choices of as many nights, M − Σ f(j)·C(t−j, k)/C(t, k), which
// takes the accident of order out. A curve that has gone flat does not show that
// all were caught: shy animals leave no trace in it.
func DiscoveryCurve(h Histories) ([]Discovered, error) {
	if err := h.check(); err != nil {
		return nil, err
	}
	nights := len(h.Caught[0])
	frequencies, counts := h.Frequencies(), h.NightCounts()
	curve := make([]Discovered, nights)
	known, all := 0, 0
	for _, n := range frequencies.Animals {
		all += n
	}
	for night := range curve {
		known += counts.New[night]
		p := Discovered{Night: night + 1, Known: known, Expected: float64(all)}
		for j, n := range frequencies.Animals {
			p.Expected -= float64(n) * ways(nights-j-1, night+1) / ways(nights, night+1)
		}
		curve[night] = p
	}
	return curve, nil
}

// Frequencies counts how often animals were caught. Histories of unequal
// length give nothing.
func (h Histories) Frequencies() Frequencies {
	if h.check() != nil {
		return Frequencies{}
	}
	f := Frequencies{Nights: len(h.Caught[0]), Animals: make([]int, len(h.Caught[0]))}
	for i, caught := range h.Caught {
		times := 0
		for _, c := range caught {
			if c {
				times++
			}
		}
		if times > 0 {
			f.Animals[times-1] += h.count(i)
		}
	}
	return f
}

// NightCounts counts what each night caught, and what of it was new.
func (h Histories) NightCounts() NightCounts {
	if h.check() != nil {
		return NightCounts{}
	}
	nights := len(h.Caught[0])
	n := NightCounts{Caught: make([]int, nights), New: make([]int, nights), Nightly: h.Nightly}
	for i, caught := range h.Caught {
		before := false
		for night, c := range caught {
			if !c {
				continue
			}
			n.Caught[night] += h.count(i)
			if !before {
				n.New[night] += h.count(i)
			}
			before = true
		}
	}
	return n
}

func (h Histories) count(i int) int {
	if h.Count == nil {
		return 1
	}
	return h.Count[i]
}

// A KnownAlive is the number of animals known to be alive at one session.
type KnownAlive struct {
	Known       int
	Provisional bool // too near the end for animals alive to have shown themselves: draw it dashed
}

// CountKnownAlive is, for each session of a longer study, the animals caught in
// it or both before and after it (Krebs 1966, Ecological Monographs 36:239–273,
// from memory: the enumeration called minimum number alive). Histories here run
// over sessions, not nights. It is below the truth whenever detection is below
// 1, most so in the last two sessions, which are marked provisional.
func CountKnownAlive(h Histories) ([]KnownAlive, error) {
	if err := h.check(); err != nil {
		return nil, err
	}
	sessions := len(h.Caught[0])
	out := make([]KnownAlive, sessions)
	for i, caught := range h.Caught {
		first, last := -1, -2
		for s, c := range caught {
			if c && first < 0 {
				first = s
			}
			if c {
				last = s
			}
		}
		for s := first; s >= 0 && s <= last; s++ {
			out[s].Known += h.count(i)
		}
	}
	for s := max(0, sessions-2); s < sessions; s++ {
		out[s].Provisional = true
	}
	return out, nil
}
