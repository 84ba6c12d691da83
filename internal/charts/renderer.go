package charts

import (
	"crypto/sha256"
	"encoding/hex"
	"fmt"
	"regexp"
	"strings"
	"sync"
)

// Renderer draws charts. It keeps what it has drawn, and machines to draw
// with, so a program needs one. It is safe for concurrent use.
type Renderer struct {
	mu    sync.Mutex
	drawn map[string]SVG
	idle  []*engine
}

// NewRenderer returns a renderer. The drawing library is loaded only when a
// chart is drawn.
func NewRenderer() *Renderer {
	return &Renderer{drawn: map[string]SVG{}}
}

var idForm = regexp.MustCompile(`^[A-Za-z][A-Za-z0-9_.-]*$`)

const (
	minWidth, maxWidth = 240, 4000
	maxHeight          = 8000
)

// Draw returns the chart as SVG. All ids in it begin with id, which must be
// unique on the page: a letter, then letters, digits, ".", "_" and "-". The
// width may be 240 to 4000 px; a height of 0 takes the chart's own. An error
// names the field of the chart that cannot be drawn.
func (r *Renderer) Draw(c Chart, id string, size Size) (SVG, error) {
	if c == nil {
		return "", fmt.Errorf("charts: no chart given")
	}
	kind := strings.ToLower(strings.TrimPrefix(strings.TrimPrefix(fmt.Sprintf("%T", c), "*"), "charts."))
	fail := func(err error) (SVG, error) {
		return "", fmt.Errorf("charts: %s %q: %w", kind, id, err)
	}
	if !idForm.MatchString(id) {
		return fail(fmt.Errorf("id is not a letter followed by letters, digits, '.', '_' or '-'"))
	}
	if size.Width < minWidth || size.Width > maxWidth {
		return fail(fmt.Errorf("size.width is %d px, not %d to %d", size.Width, minWidth, maxWidth))
	}
	if err := checkText(c.text()); err != nil {
		return fail(err)
	}
	if err := c.check(); err != nil {
		return fail(err)
	}
	if size.Height == 0 {
		size.Height = c.Height(size.Width)
	}
	if size.Height < 60 || size.Height > maxHeight {
		return fail(fmt.Errorf("size.height is %d px, not 60 to %d", size.Height, maxHeight))
	}
	d := c.layOut(size)
	if d.plot.width() < 40 || d.plot.height() < 15 {
		return fail(fmt.Errorf("size %d x %d px leaves no room for the plot beside its labels", size.Width, size.Height))
	}
	svg, err := r.drawing(d, id, c.text())
	if err != nil {
		return fail(err)
	}
	return svg, nil
}

func (r *Renderer) drawing(d *drawing, id string, text Text) (SVG, error) {
	option, err := d.option()
	if err != nil {
		return "", err
	}
	key := cacheKey(option, d.size, id, text)
	r.mu.Lock()
	svg, known := r.drawn[key]
	r.mu.Unlock()
	if known {
		return svg, nil
	}
	raw, err := r.run(option, d.size, id)
	if err != nil {
		return "", err
	}
	svg, err = tidy(raw, id, text, d.markCounts())
	if err != nil {
		return "", err
	}
	r.mu.Lock()
	r.drawn[key] = svg
	r.mu.Unlock()
	return svg, nil
}

func cacheKey(option []byte, size Size, id string, text Text) string {
	sum := sha256.New()
	fmt.Fprintf(sum, "%s\n%d %d\n%q\n%q\n%q\n", bundleHash(), size.Width, size.Height, id, text.Title, text.Description)
	sum.Write(option)
	return hex.EncodeToString(sum.Sum(nil))
}

// run draws on an idle machine, or a new one. A machine that failed is
// dropped: an interrupted drawing may have left anything behind.
func (r *Renderer) run(option []byte, size Size, id string) (string, error) {
	e, err := r.take()
	if err != nil {
		return "", err
	}
	raw, err := e.draw(option, size, id, drawingTime)
	if err != nil {
		return "", err
	}
	if !e.spent {
		r.mu.Lock()
		r.idle = append(r.idle, e)
		r.mu.Unlock()
	}
	return raw, nil
}

func (r *Renderer) take() (*engine, error) {
	if e := r.takeIdle(); e != nil {
		return e, nil
	}
	return newEngine()
}

func (r *Renderer) takeIdle() *engine {
	r.mu.Lock()
	defer r.mu.Unlock()
	n := len(r.idle)
	if n == 0 {
		return nil
	}
	e := r.idle[n-1]
	r.idle = r.idle[:n-1]
	return e
}

// markCounts is the number of marks that each series must have in the drawing.
func (d *drawing) markCounts() []int {
	counts := make([]int, len(d.series))
	for i, s := range d.series {
		counts[i] = s.marks()
	}
	return counts
}
