package report

import (
	"crypto/sha256"
	"encoding/hex"
	"fmt"
	"html/template"
	"path"
	"strings"
	"unicode"

	"auditgen/internal/assess"
	"auditgen/internal/picture"
)

// PhotoFigure is a photo with its caption: either beside the page, at several
// widths, or in the page.
type PhotoFigure struct {
	Shows, Caption string
	Src, Srcset    string       // beside the page
	Inside         template.URL // in the page
	Width, Height  int          // pixels, of the middle size
}

// photoFolder holds the photos beside the pages of a visit.
const photoFolder = "photos"

// middle is the size that stands for a photo where only one can: wide enough
// for the column of text.
func middle(images []picture.Image) picture.Image { return images[min(1, len(images)-1)] }

func (v *visit) photos() []PhotoFigure {
	var out []PhotoFigure
	for _, p := range v.Record.Visit.Photos {
		if len(p.Images) == 0 {
			continue
		}
		m := middle(p.Images)
		f := PhotoFigure{Shows: p.Shows.Value, Caption: capital(v.sentence(p.Shows.Value)), Width: m.Width, Height: m.Height}
		if at := p.At.Value; at != "" {
			f.Caption = capital(v.typed(at)) + ": " + lower(v.sentence(p.Shows.Value))
		}
		if !v.beside {
			f.Inside = inPage(m)
			out = append(out, f)
			continue
		}
		f.Src = photoName(p.File.Value, m)
		var set []string
		for _, m := range p.Images {
			set = append(set, fmt.Sprintf("%s %dw", photoName(p.File.Value, m), m.Width))
		}
		f.Srcset = strings.Join(set, ", ")
		out = append(out, f)
	}
	return out
}

// photoName is the name of a photo beside the page: the file's own, its width
// and a short hash of what it holds, so that a browser that kept an old one asks
// for the new.
func photoName(file string, m picture.Image) string {
	base := strings.Map(func(r rune) rune {
		if unicode.IsLetter(r) && r < unicode.MaxASCII || unicode.IsDigit(r) && r < unicode.MaxASCII || r == '-' || r == '_' {
			return unicode.ToLower(r)
		}
		return '-'
	}, strings.TrimSuffix(path.Base(file), path.Ext(file)))
	sum := sha256.Sum256(m.Data)
	return fmt.Sprintf("%s/%s-%d-%s.jpg", photoFolder, base, m.Width, hex.EncodeToString(sum[:4]))
}

// photoFiles are the photos beside the pages of each visit.
func photoFiles(visits []*assess.Assessment) []File {
	var files []File
	seen := map[string]bool{}
	for _, a := range visits {
		for _, p := range a.Record.Visit.Photos {
			for _, m := range p.Images {
				name := a.Record.Visit.Date.Value.String() + "/" + photoName(p.File.Value, m)
				if !seen[name] {
					files = append(files, File{name, m.Data})
					seen[name] = true
				}
			}
		}
	}
	return files
}
