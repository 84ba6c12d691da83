package browser

import (
	"bytes"
	"encoding/xml"
	"errors"
	"fmt"
	"os/exec"
	"regexp"
	"strconv"
	"strings"
	"unicode"
)

// PDF is what poppler reads in a PDF file.
type PDF struct {
	Path          string
	Title         string
	Tagged        bool
	Width, Height float64 // of the first page, millimetres
	Text          []string
	Words         []Word
	Bookmarks     []string
}

// Word is a word and where it stands, in millimetres from its page's upper left
// corner; pages count from 1.
type Word struct {
	Page                     int
	Left, Top, Right, Bottom float64
	Text                     string
}

const point = 25.4 / 72 // millimetres

// ReadPDF reads a PDF file with pdfinfo, pdftotext and pdftohtml.
func (t Tools) ReadPDF(path string) (PDF, error) {
	d := PDF{Path: path}
	info, err := output(t.PDFInfo, path)
	if err != nil {
		return d, err
	}
	pages, err := d.readInfo(string(info))
	if err != nil {
		return d, fmt.Errorf("%s: %w", path, err)
	}
	text, err := output(t.PDFText, "-raw", path, "-")
	if err != nil {
		return d, err
	}
	d.Text = strings.Split(strings.TrimSuffix(string(text), "\f"), "\f")
	if len(d.Text) != pages {
		return d, fmt.Errorf("%s has %d pages but text of %d", path, pages, len(d.Text))
	}
	boxes, err := output(t.PDFText, "-bbox", path, "-")
	if err != nil {
		return d, err
	}
	if err := d.readWords(boxes); err != nil {
		return d, fmt.Errorf("%s: words: %w", path, err)
	}
	marks, err := output(t.PDFHTML, "-xml", "-i", "-stdout", path)
	if err != nil {
		return d, err
	}
	d.Bookmarks = bookmarks(marks)
	return d, nil
}

func output(program string, args ...string) ([]byte, error) {
	var out, errs bytes.Buffer
	cmd := exec.Command(program, args...)
	cmd.Stdout, cmd.Stderr = &out, &errs
	if err := cmd.Run(); err != nil {
		return nil, fmt.Errorf("%s %s: %w: %s", program, strings.Join(args, " "), err, strings.TrimSpace(errs.String()))
	}
	return out.Bytes(), nil
}

var pageSize = regexp.MustCompile(`^([\d.]+) x ([\d.]+) pts`)

func (d *PDF) readInfo(info string) (pages int, err error) {
	fields := map[string]string{}
	for line := range strings.Lines(info) {
		if name, value, ok := strings.Cut(line, ":"); ok {
			fields[name] = strings.TrimSpace(value)
		}
	}
	d.Title, d.Tagged = fields["Title"], fields["Tagged"] == "yes"
	if pages, err = strconv.Atoi(fields["Pages"]); err != nil {
		return 0, fmt.Errorf("pdfinfo tells no number of pages: %q", fields["Pages"])
	}
	size := pageSize.FindStringSubmatch(fields["Page size"])
	if size == nil {
		return 0, fmt.Errorf("pdfinfo tells no page size: %q", fields["Page size"])
	}
	d.Width, d.Height = millimetres(size[1]), millimetres(size[2])
	return pages, nil
}

func millimetres(points string) float64 {
	v, _ := strconv.ParseFloat(points, 64) // the pattern lets only numbers through
	return v * point
}

func (d *PDF) readWords(boxes []byte) error {
	var doc struct {
		Pages []struct {
			Words []struct {
				XMin float64 `xml:"xMin,attr"`
				YMin float64 `xml:"yMin,attr"`
				XMax float64 `xml:"xMax,attr"`
				YMax float64 `xml:"yMax,attr"`
				Text string  `xml:",chardata"`
			} `xml:"word"`
		} `xml:"body>doc>page"`
	}
	decoder := xml.NewDecoder(bytes.NewReader(boxes))
	decoder.Strict, decoder.Entity = false, xml.HTMLEntity
	if err := decoder.Decode(&doc); err != nil {
		return err
	}
	for i, p := range doc.Pages {
		for _, w := range p.Words {
			d.Words = append(d.Words, Word{i + 1, w.XMin * point, w.YMin * point, w.XMax * point, w.YMax * point, w.Text})
		}
	}
	return nil
}

var outlineItem = regexp.MustCompile(`<item page="\d+">([^<]*)</item>`)

// bookmarks reads them from pdftohtml's XML, which is not always well formed, so
// by pattern.
func bookmarks(marks []byte) []string {
	var titles []string
	for _, m := range outlineItem.FindAllSubmatch(marks, -1) {
		titles = append(titles, string(m[1]))
	}
	return titles
}

// Unnumbered lists the pages that do not say which page of how many they are, as
// format does with the two numbers: "Page %d of %d".
func (d PDF) Unnumbered(format string) []int {
	var missing []int
	for i, text := range d.Text {
		want := squeeze(fmt.Sprintf(format, i+1, len(d.Text)))
		found := false
		for line := range strings.Lines(text) {
			// The end of the line must follow, or "Page 1 of 1" would pass
			// in a document of 10 pages.
			found = found || strings.HasSuffix(squeeze(line), want)
		}
		if !found {
			missing = append(missing, i+1)
		}
	}
	return missing
}

// Margins are the least distances of text from the edges of a sheet, in
// millimetres: at the left and right, and at the top and bottom, where page
// numbers stand. Common printers can't print nearer than about 5 mm.
type Margins struct{ Sides, Ends float64 }

// wordEdge, in millimetres, is how far poppler's box of a word reaches beyond
// what Chromium laid out.
const wordEdge = 0.7

// Outside lists the words that stand in the margins of their page or beyond it.
func (d PDF) Outside(m Margins) []Word {
	m.Sides, m.Ends = m.Sides-wordEdge, m.Ends-wordEdge
	var out []Word
	for _, w := range d.Words {
		if w.Left < m.Sides || w.Right > d.Width-m.Sides || w.Top < m.Ends || w.Bottom > d.Height-m.Ends {
			out = append(out, w)
		}
	}
	return out
}

// longText is the length in letters from which a text may be split over two
// pages and still count as found.
const longText = 60

// Lost lists the texts that the PDF does not hold. Only letters, small or
// capital, and digits are compared, since line breaks bring hyphens and lose spaces.
func (d PDF) Lost(texts []string) []string {
	flat := squeeze(strings.Join(d.Text, " "))
	var lost []string
	for _, text := range texts {
		if want := squeeze(text); !strings.Contains(flat, want) && !heldInTwo(flat, want) {
			lost = append(lost, text)
		}
	}
	return lost
}

func heldInTwo(flat, want string) bool {
	letters := []rune(want)
	if len(letters) < longText {
		return false
	}
	for i := 1; i < len(letters); i++ {
		before, after, _ := strings.Cut(flat, string(letters[:i]))
		if before == flat {
			return false
		}
		if strings.Contains(after, string(letters[i:])) {
			return true
		}
	}
	return false
}

func squeeze(s string) string {
	return strings.Map(func(r rune) rune {
		if unicode.IsLetter(r) || unicode.IsDigit(r) {
			return unicode.ToLower(r) // a style may ask for capitals
		}
		return -1
	}, s)
}

// Err is nil if the PDF is tagged, has a title, bookmarks and numbered pages, and
// keeps its margins.
func (d PDF) Err(numbered string, margins Margins) error {
	var bad []error
	if !d.Tagged {
		bad = append(bad, errors.New("not tagged"))
	}
	if d.Title == "" {
		bad = append(bad, errors.New("no title"))
	}
	if len(d.Bookmarks) == 0 {
		bad = append(bad, errors.New("no bookmarks"))
	}
	if pages := d.Unnumbered(numbered); len(pages) > 0 {
		bad = append(bad, fmt.Errorf("no page number on page %v of %d", pages, len(d.Text)))
	}
	for _, w := range d.Outside(margins) {
		bad = append(bad, fmt.Errorf("page %d: %q stands outside the margins, at %.0f to %.0f mm across, %.0f to %.0f mm down", w.Page, w.Text, w.Left, w.Right, w.Top, w.Bottom))
	}
	return errors.Join(bad...)
}
