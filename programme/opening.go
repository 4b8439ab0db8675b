package programme

import (
	"runtime"
	"sync"
	"sync/atomic"

	"dawnround/notebook"
	"dawnround/register"
)

// Opening folds lines while the notebook that opens verifies them: bodies are
// read on all processors, since reading a line needs nothing but the line, and
// taken into the register in whatever order they come.
type Opening struct {
	register *register.Register
	lines    []notebook.Line
	read     chan []notebook.Line
	taken    chan []*register.Entry
	readers  sync.WaitGroup
	taker    sync.WaitGroup
	fault    atomic.Pointer[any] // the first panic, to be told by Done
}

// together is how many lines are handed over at a time.
const together = 512

// Begin starts an opening, which Done must end.
func Begin() *Opening {
	o := &Opening{
		register: register.New(),
		read:     make(chan []notebook.Line, runtime.NumCPU()),
		taken:    make(chan []*register.Entry, runtime.NumCPU()),
	}
	for range runtime.NumCPU() {
		o.readers.Go(func() {
			for lines := range o.read {
				o.guard(func() {
					entries := make([]*register.Entry, len(lines))
					for i, l := range lines {
						entries[i] = register.ReadLine(l)
					}
					o.taken <- entries
				})
			}
		})
	}
	o.taker.Go(func() {
		for entries := range o.taken {
			o.guard(func() { o.register.Add(entries...) })
		}
	})
	return o
}

// guard keeps a mistake of ours from ending the program where nobody can tell
// the person what happened.
func (o *Opening) guard(work func()) {
	defer func() {
		if fault := recover(); fault != nil {
			o.fault.CompareAndSwap(nil, &fault)
		}
	}()
	work()
}

// Line takes one line, from one goroutine.
func (o *Opening) Line(l notebook.Line) {
	if o.lines = append(o.lines, l); len(o.lines) == together {
		o.read <- o.lines
		o.lines = nil
	}
}

// Done ends the opening and gives the programme over the notebook.
func (o *Opening) Done(n *notebook.Notebook) *Programme {
	o.read <- o.lines
	close(o.read)
	o.readers.Wait()
	close(o.taken)
	o.taker.Wait()
	if fault := o.fault.Load(); fault != nil {
		panic(*fault)
	}
	o.register.Apply()
	return &Programme{notebook: n, register: o.register}
}
