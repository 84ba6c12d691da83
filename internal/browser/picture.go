package browser

import (
	"context"
	"fmt"

	"github.com/chromedp/cdproto/page"
	"github.com/chromedp/chromedp"

	"auditgen/internal/paper"
)

// pictureHeight is the tallest picture made, in pixels: Chromium leaves the part
// of a page beyond 16384 px blank, and a shorter one is easier to look at.
const pictureHeight = 2400

// Pictures returns the whole page as PNG pictures from top to bottom, at one
// pixel for a CSS pixel.
func (p *Page) Pictures() ([][]byte, error) {
	var size struct{ W, H float64 }
	if err := p.evaluate(`({W: document.documentElement.clientWidth, H: document.documentElement.scrollHeight})`, &size); err != nil {
		return nil, err
	}
	var pictures [][]byte
	for top := 0.0; top < size.H; top += pictureHeight {
		clip := page.Viewport{Y: top, Width: size.W, Height: min(pictureHeight, size.H-top), Scale: 1}
		picture, err := p.capture(&clip)
		if err != nil {
			return nil, err
		}
		pictures = append(pictures, picture)
	}
	return pictures, nil
}

// FirstScreen returns what the view shows before scrolling, as a PNG picture.
func (p *Page) FirstScreen() ([]byte, error) { return p.capture(nil) }

func (p *Page) capture(clip *page.Viewport) ([]byte, error) {
	params := page.CaptureScreenshot().WithFormat(page.CaptureScreenshotFormatPng)
	if clip != nil {
		params = params.WithClip(clip).WithCaptureBeyondViewport(true)
	}
	var picture []byte
	err := p.run(chromedp.ActionFunc(func(ctx context.Context) (err error) {
		picture, err = params.Do(ctx)
		return err
	}))
	if err != nil {
		return nil, fmt.Errorf("picture of %s: %w", p.address, err)
	}
	return picture, nil
}

// PDF prints the page with its style for paper, as the program does.
func (p *Page) PDF(on paper.Sheet) ([]byte, error) {
	var pdf []byte
	err := p.run(chromedp.ActionFunc(func(ctx context.Context) (err error) {
		pdf, _, err = paper.PrintTo(on).Do(ctx)
		return err
	}))
	if err != nil {
		return nil, fmt.Errorf("print %s on %s: %w", p.address, on.Name, err)
	}
	return pdf, nil
}
