package browser

import (
	"context"
	_ "embed"
	"errors"
	"fmt"
	"net/url"
	"strings"
	"sync"

	"github.com/chromedp/cdproto/audits"
	"github.com/chromedp/cdproto/cdp"
	cdplog "github.com/chromedp/cdproto/log"
	"github.com/chromedp/cdproto/network"
	"github.com/chromedp/cdproto/page"
	"github.com/chromedp/cdproto/runtime"
	"github.com/chromedp/cdproto/target"
	"github.com/chromedp/chromedp"
	"github.com/chromedp/chromedp/kb"
)

// Page is an open tab. Its methods must not run at the same time.
type Page struct {
	browser *Browser
	ctx     context.Context
	cancel  context.CancelFunc
	profile cdp.BrowserContextID
	address string

	mu      sync.Mutex
	traffic Traffic
	ready   string                         // the life cycle event to wait for when loading
	reached map[cdp.LoaderID]chan struct{} // one place each, filled when a document gets there
}

// Traffic is what a page asked for and complained about, from its opening on.
type Traffic struct {
	Requests   []string // every address asked for, in order, even if a policy then stopped it; data: left out
	Foreign    []string // those that lead to another host or scheme than the page's own
	Violations []string // what the page's content security policy stopped
	Console    []string // warnings, errors and log lines, policy violations among them
	Unread     []string // browser events that couldn't be decoded: something may be missing above
}

// Err is nil if the page kept to itself and complained about nothing.
func (t Traffic) Err() error {
	var bad []string
	for _, part := range []struct {
		name  string
		lines []string
	}{
		{"request to another host", t.Foreign},
		{"content security policy", t.Violations},
		{"console", t.Console},
		{"unread browser event", t.Unread},
	} {
		for _, line := range part.lines {
			bad = append(bad, part.name+": "+line)
		}
	}
	if bad == nil {
		return nil
	}
	return errors.New(strings.Join(bad, "\n"))
}

// Close closes the tab and drops its profile.
func (p *Page) Close() {
	p.cancel()
	ctx, cancel := p.browser.command()
	defer cancel()
	// Nothing is lost if this fails: the browser's folder goes with the browser.
	_ = target.DisposeBrowserContext(p.profile).Do(ctx)
}

// Traffic returns what has been seen so far.
func (p *Page) Traffic() Traffic {
	p.browser.mu.Lock()
	unread := append([]string(nil), p.browser.unread...)
	p.browser.mu.Unlock()
	p.mu.Lock()
	defer p.mu.Unlock()
	return Traffic{
		Requests:   append([]string(nil), p.traffic.Requests...),
		Foreign:    append([]string(nil), p.traffic.Foreign...),
		Violations: append([]string(nil), p.traffic.Violations...),
		Console:    append([]string(nil), p.traffic.Console...),
		Unread:     unread,
	}
}

// Show changes the view without loading the page again.
func (p *Page) Show(v View) error {
	if err := p.run(v.apply()); err != nil {
		return fmt.Errorf("show %s at %s: %w", p.address, v, err)
	}
	var opened int
	return p.evaluate(fmt.Sprintf(openDetailsJS, v.OpenDetails), &opened)
}

// openDetailsJS marks what it opens, so that a later view can close it again.
const openDetailsJS = `(open => {
	const all = document.querySelectorAll(open ? 'details:not([open])' : 'details[data-check-opened]');
	for (const d of all) { d.open = open; d.toggleAttribute('data-check-opened', open) }
	return all.length;
})(%t)`

func (p *Page) run(actions ...chromedp.Action) error {
	// The tab's own context is created by its first Run and must outlive a
	// step, so that step may not carry a deadline of its own.
	if chromedp.FromContext(p.ctx).Target == nil {
		if err := chromedp.Run(p.ctx); err != nil {
			return err
		}
	}
	ctx, cancel := context.WithTimeout(p.ctx, stepTimeout)
	defer cancel()
	return chromedp.Run(ctx, actions...)
}

// evaluate runs an expression in the page; a promise is awaited. It works with
// the page's own scripts off, as long as the expression needs no timer.
func (p *Page) evaluate(expression string, into any) error {
	err := p.run(chromedp.Evaluate(expression, into, func(e *runtime.EvaluateParams) *runtime.EvaluateParams {
		return e.WithAwaitPromise(true)
	}))
	if err != nil {
		return fmt.Errorf("in %s: %w", p.address, err)
	}
	return nil
}

func (p *Page) navigate(ctx context.Context) error {
	_, loader, failure, _, err := page.Navigate(p.address).Do(ctx)
	if err != nil {
		return err
	}
	if failure != "" {
		return errors.New(failure)
	}
	select {
	case <-p.readyOf(loader):
		return nil
	case <-ctx.Done():
		return fmt.Errorf("still loading: %w", ctx.Err())
	}
}

// readyOf returns the channel that tells when a document is ready. The event may
// come before or after the answer to the navigation.
func (p *Page) readyOf(loader cdp.LoaderID) chan struct{} {
	p.mu.Lock()
	defer p.mu.Unlock()
	if p.reached == nil {
		p.reached = map[cdp.LoaderID]chan struct{}{}
	}
	if p.reached[loader] == nil {
		p.reached[loader] = make(chan struct{}, 1)
	}
	return p.reached[loader]
}

func (p *Page) watch() {
	chromedp.ListenTarget(p.ctx, func(event any) {
		switch e := event.(type) {
		case *page.EventLifecycleEvent:
			if e.Name == p.ready {
				select {
				case p.readyOf(e.LoaderID) <- struct{}{}:
				default:
				}
			}
		case *network.EventRequestWillBeSent:
			p.noteRequest(e.Request.URL)
		case *network.EventWebSocketCreated:
			p.noteRequest(e.URL)
		case *network.EventWebTransportCreated:
			p.noteRequest(e.URL)
		case *audits.EventIssueAdded:
			p.noteIssue(e.Issue)
		case *cdplog.EventEntryAdded:
			p.noteConsole(fmt.Sprintf("%s: %s", e.Entry.Level, e.Entry.Text))
		case *runtime.EventConsoleAPICalled:
			p.noteConsole(consoleLine(e))
		case *runtime.EventExceptionThrown:
			p.noteConsole("exception: " + e.ExceptionDetails.Error())
		}
	})
}

func (p *Page) noteRequest(address string) {
	if strings.HasPrefix(address, "data:") {
		return
	}
	p.mu.Lock()
	defer p.mu.Unlock()
	p.traffic.Requests = append(p.traffic.Requests, address)
	if foreign(p.address, address) {
		p.traffic.Foreign = append(p.traffic.Foreign, address)
	}
}

// foreign tells whether an address leaves the place that a page came from.
func foreign(home, address string) bool {
	from, err := url.Parse(home)
	if err != nil {
		return true
	}
	to, err := url.Parse(address)
	if err != nil {
		return true
	}
	return from.Scheme != to.Scheme || from.Host != to.Host
}

func (p *Page) noteIssue(issue *audits.InspectorIssue) {
	if issue.Details == nil || issue.Details.ContentSecurityPolicyIssueDetails == nil {
		return
	}
	d := issue.Details.ContentSecurityPolicyIssueDetails
	line := d.ViolatedDirective + " " + d.ContentSecurityPolicyViolationType.String()
	if d.BlockedURL != "" {
		line += " " + d.BlockedURL
	}
	p.mu.Lock()
	defer p.mu.Unlock()
	p.traffic.Violations = append(p.traffic.Violations, line)
}

func (p *Page) noteConsole(line string) {
	p.mu.Lock()
	defer p.mu.Unlock()
	p.traffic.Console = append(p.traffic.Console, line)
}

func consoleLine(e *runtime.EventConsoleAPICalled) string {
	words := []string{string(e.Type) + ":"}
	for _, arg := range e.Args {
		if arg.Value != nil {
			words = append(words, string(arg.Value))
		} else {
			words = append(words, arg.Description)
		}
	}
	return strings.Join(words, " ")
}

// Enter types a text into a field, in the place of what it holds, and presses
// the enter key.
func (p *Page) Enter(selector, text string) error {
	var emptied string
	if err := p.evaluate(fmt.Sprintf("document.querySelector(%q).value = ''", selector), &emptied); err != nil {
		return err
	}
	return p.run(chromedp.SendKeys(selector, text+kb.Enter, chromedp.ByQuery))
}

// Await waits until the page's text holds a text.
func (p *Page) Await(text string) error {
	var found bool
	return p.run(chromedp.Poll(fmt.Sprintf("document.body.innerText.includes(%q)", text), &found, chromedp.WithPollingTimeout(stepTimeout)))
}

//go:embed overflow.js
var overflowJS string

// Overflow lists what does not fit the view's width: the page itself if it
// scrolls sideways, elements that stick out of it, and text cut off by its own
// box. What lies in a box made to scroll is left out, save in a print view, and so
// is text hidden from view for screen readers.
func (p *Page) Overflow() ([]string, error) {
	var found []string
	if err := p.evaluate(overflowJS, &found); err != nil {
		return nil, err
	}
	return found, nil
}

//go:embed texts.js
var textsJS string

// Texts returns the text of the table cells, headings, paragraphs, terms and
// summaries that the current view shows, formulas and text for screen readers
// left out, for comparison with the text of a PDF.
func (p *Page) Texts() ([]string, error) {
	var found []string
	if err := p.evaluate(textsJS, &found); err != nil {
		return nil, err
	}
	return found, nil
}
