package main

import (
	"fmt"
	"io"
	"os"
	"sync"
	"time"

	"golang.org/x/term"
)

// progress tells a person at a terminal what goes on when it takes longer than
// a second. It is silent when nobody watches.
type progress struct {
	mu    sync.Mutex
	w     io.Writer
	what  string
	shown bool
	timer *time.Timer
}

func newProgress(w io.Writer) *progress {
	p := &progress{}
	if f, ok := w.(*os.File); ok && term.IsTerminal(int(f.Fd())) {
		p.w = w
		p.timer = time.AfterFunc(time.Second, func() {
			p.mu.Lock()
			defer p.mu.Unlock()
			p.shown = true
			p.show()
		})
	}
	return p
}

func (p *progress) show() {
	if p.w != nil && p.shown {
		fmt.Fprintf(p.w, "\r\033[K%s …", p.what)
	}
}

func (p *progress) say(what string) {
	p.mu.Lock()
	defer p.mu.Unlock()
	p.what = what
	p.show()
}

// done takes the line away. It may be called more than once.
func (p *progress) done() {
	p.mu.Lock()
	defer p.mu.Unlock()
	if p.timer != nil {
		p.timer.Stop()
	}
	if p.w != nil && p.shown {
		fmt.Fprint(p.w, "\r\033[K")
	}
	p.w = nil
}
