package browser

import (
	"context"
	"fmt"
	"net/http"
	"net/http/httptest"
	"net/url"
	"path/filepath"
	"strings"
	"sync"
	"testing"
	"time"

	"github.com/chromedp/cdproto/audits"
	"github.com/chromedp/cdproto/cdp"
	"github.com/chromedp/cdproto/emulation"
	"github.com/chromedp/cdproto/page"
	"github.com/chromedp/cdproto/target"
	"github.com/chromedp/chromedp"

	"auditgen/internal/paper"
)

// stepTimeout ends a step of the browser that hangs. A report opens in well
// under a second; this leaves room for a slow and busy machine.
const stepTimeout = 90 * time.Second

// Browser is one running Chromium with an empty profile of its own and no way to
// resolve a name: a request to another host is seen, and can't be answered.
type Browser struct {
	ctx    context.Context
	cancel context.CancelFunc
	axe    string

	mu     sync.Mutex
	unread []string // events that the protocol library couldn't decode
}

// Launch starts Chromium. An empty axe path leaves [Browser.Axe] unavailable.
func Launch(chromium, axe string) (*Browser, error) {
	b := &Browser{axe: axe}
	processes, stop := chromedp.NewExecAllocator(context.Background(), paper.Options(chromium)...)
	ctx, cancel := chromedp.NewContext(processes, chromedp.WithErrorf(b.noteUnread))
	b.ctx, b.cancel = ctx, func() { cancel(); stop() }
	started := make(chan error, 1)
	go func() { started <- chromedp.Run(ctx) }()
	select {
	case err := <-started:
		if err != nil {
			b.cancel()
			return nil, fmt.Errorf("chromium at %s does not start: %w", chromium, err)
		}
	case <-time.After(stepTimeout):
		b.cancel()
		return nil, fmt.Errorf("chromium at %s did not start within %s", chromium, stepTimeout)
	}
	return b, nil
}

// Start runs Chromium until the test ends; it calls [Need].
func Start(t testing.TB) *Browser {
	t.Helper()
	tools := Need(t)
	b, err := Launch(tools.Chromium, tools.Axe)
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(b.Close)
	return b
}

// Close ends Chromium and removes its profile.
func (b *Browser) Close() { b.cancel() }

func (b *Browser) noteUnread(format string, args ...any) {
	b.mu.Lock()
	defer b.mu.Unlock()
	b.unread = append(b.unread, fmt.Sprintf(format, args...))
}

// FileURL is the address of a page on disk.
func FileURL(path string) (string, error) {
	full, err := filepath.Abs(path)
	if err != nil {
		return "", err
	}
	return (&url.URL{Scheme: "file", Path: filepath.ToSlash(full)}).String(), nil
}

// Serve offers a folder on a loopback port until the test ends and returns the
// address of its root, without a closing slash.
func Serve(t testing.TB, dir string) string {
	t.Helper()
	files := http.FileServer(http.Dir(dir))
	server := httptest.NewServer(http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) {
		// Go's file server would send a reader of /index.html on to /, which
		// other servers do not do.
		r.URL.Path = strings.TrimSuffix(r.URL.Path, "index.html")
		files.ServeHTTP(w, r)
	}))
	t.Cleanup(server.Close)
	return server.URL
}

// View is a way to look at a page. The zero View is a light screen of 1280 × 900
// CSS pixels with scripts off.
type View struct {
	Width, Height int // CSS pixels; 0 stands for 1280 and 900
	Dark          bool
	Print         bool // style for paper, still laid out at Width
	Scripts       bool
	OpenDetails   bool // open every details element
}

// String names the view for messages, as "390 px dark".
func (v View) String() string {
	words := []string{fmt.Sprintf("%d px", v.size().Width), "light"}
	if v.Dark {
		words[1] = "dark"
	}
	if v.Print {
		words = append(words, "print")
	}
	if v.Scripts {
		words = append(words, "scripts on")
	}
	if v.OpenDetails {
		words = append(words, "details open")
	}
	return strings.Join(words, " ")
}

func (v View) size() View {
	if v.Width == 0 {
		v.Width = 1280
	}
	if v.Height == 0 {
		v.Height = 900
	}
	return v
}

func (v View) apply() chromedp.Tasks {
	v = v.size()
	scheme, media := "light", ""
	if v.Dark {
		scheme = "dark"
	}
	if v.Print {
		media = "print"
	}
	return chromedp.Tasks{
		emulation.SetDeviceMetricsOverride(int64(v.Width), int64(v.Height), 1, false),
		emulation.SetEmulatedMedia().WithMedia(media).WithFeatures([]*emulation.MediaFeature{
			{Name: "prefers-color-scheme", Value: scheme},
			{Name: "prefers-reduced-motion", Value: "reduce"},
		}),
		emulation.SetScriptExecutionDisabled(!v.Scripts),
	}
}

// Open loads an address in a tab with a fresh profile. It returns once the page
// has loaded and the network has been quiet for half a second. Close the page.
func (b *Browser) Open(address string, v View) (*Page, error) {
	return b.open(address, v, "networkIdle", false)
}

func (b *Browser) open(address string, v View, ready string, bypassPolicy bool) (*Page, error) {
	tab, profile, err := b.newTab()
	if err != nil {
		return nil, fmt.Errorf("open %s: %w", address, err)
	}
	ctx, cancel := chromedp.NewContext(b.ctx, chromedp.WithTargetID(tab))
	p := &Page{browser: b, ctx: ctx, profile: profile, address: address, cancel: cancel, ready: ready}
	p.watch()
	err = p.run(
		audits.Enable(),
		page.SetBypassCSP(bypassPolicy),
		v.apply(),
		chromedp.ActionFunc(p.navigate),
	)
	if err == nil {
		err = p.Show(v)
	}
	if err != nil {
		p.Close()
		return nil, fmt.Errorf("open %s (%s): %w", address, v, err)
	}
	return p, nil
}

// newTab opens a tab in a profile of its own. Chromium will not open one there
// unless it gets a new window, which chromedp itself does not ask for.
func (b *Browser) newTab() (target.ID, cdp.BrowserContextID, error) {
	ctx, cancel := b.command()
	defer cancel()
	profile, err := target.CreateBrowserContext().Do(ctx)
	if err != nil {
		return "", "", err
	}
	tab, err := target.CreateTarget("about:blank").WithBrowserContextID(profile).WithNewWindow(true).Do(ctx)
	return tab, profile, err
}

// command is a context for commands to the browser itself, not to a tab.
func (b *Browser) command() (context.Context, context.CancelFunc) {
	ctx, cancel := context.WithTimeout(b.ctx, stepTimeout)
	return cdp.WithExecutor(ctx, chromedp.FromContext(b.ctx).Browser), cancel
}
