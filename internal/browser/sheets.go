package browser

import (
	"bytes"
	"fmt"
	"image"
	"image/png"
	"math"
	"os"
	"path/filepath"
	"slices"
	"strconv"
)

// Sheets draws the pages of a PDF in grey, at so many dots to the inch.
func (t Tools) Sheets(path string, dots int) ([]*image.Gray, error) {
	dir, err := os.MkdirTemp("", "sheets")
	if err != nil {
		return nil, err
	}
	defer os.RemoveAll(dir)
	if _, err := output(t.PDFPNG, "-gray", "-png", "-r", strconv.Itoa(dots), path, filepath.Join(dir, "s")); err != nil {
		return nil, err
	}
	files, err := filepath.Glob(filepath.Join(dir, "s-*.png"))
	if err != nil {
		return nil, err
	}
	slices.Sort(files) // the numbers have leading zeros
	var out []*image.Gray
	for _, f := range files {
		data, err := os.ReadFile(f)
		if err != nil {
			return nil, err
		}
		page, err := Grey(data)
		if err != nil {
			return nil, fmt.Errorf("%s: %w", path, err)
		}
		out = append(out, page)
	}
	return out, nil
}

// Grey reads a PNG as a picture in grey.
func Grey(data []byte) (*image.Gray, error) {
	m, err := png.Decode(bytes.NewReader(data))
	if err != nil {
		return nil, err
	}
	out := image.NewGray(m.Bounds())
	for y := m.Bounds().Min.Y; y < m.Bounds().Max.Y; y++ {
		for x := m.Bounds().Min.X; x < m.Bounds().Max.X; x++ {
			out.Set(x, y, m.At(x, y))
		}
	}
	return out, nil
}

// Apart is by how much two pictures differ, from 0 to 1: the mean over the dots.
// It is 1 for pictures that are not of one size.
func Apart(a, b *image.Gray) float64 {
	if a.Bounds() != b.Bounds() {
		return 1
	}
	sum := 0.0
	for i := range a.Pix {
		sum += math.Abs(float64(a.Pix[i]) - float64(b.Pix[i]))
	}
	return sum / 255 / float64(len(a.Pix))
}
