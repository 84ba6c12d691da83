package site

import (
	"errors"
	"fmt"
	"io/fs"
	"path"

	"auditgen/internal/diag"
	"auditgen/internal/picture"
	"auditgen/internal/source"
)

// photosDir is the folder of a site's photos.
const photosDir = "photos"

// named reads a file that a value names, below a folder; what is wrong is said
// at the value.
func (r *reader) named(dir string, name source.At[string], expected string) ([]byte, bool) {
	if !name.Good().IsSet() {
		return nil, false
	}
	if !fs.ValidPath(name.Value) {
		r.faults.At(name.Pos, fmt.Sprintf("%q is no place in the folder", name.Value), expected)
		return nil, false
	}
	data, err := fs.ReadFile(r.FS, path.Join(dir, name.Value))
	if err != nil {
		what := "the file " + path.Join(dir, name.Value) + " cannot be read"
		if errors.Is(err, fs.ErrNotExist) {
			what = "there is no file " + path.Join(dir, name.Value)
		}
		r.faults.At(name.Pos, what, expected)
		return nil, false
	}
	return data, true
}

func (r *reader) logo(name source.At[string]) *picture.Image {
	data, ok := r.named(".", name, "a PNG or SVG file beside provider.toml")
	if !ok {
		return nil
	}
	logo, err := picture.Logo(data)
	if err != nil {
		r.unfit(name, err)
		return nil
	}
	return &logo
}

func (r *reader) terms(name source.At[string]) *Note {
	data, ok := r.named(".", name, "a Markdown file beside provider.toml")
	if !ok {
		return nil
	}
	return &Note{Name: "terms", Text: string(data)}
}

// photos reads the photos of a visit.
func (r *reader) photos(v *Visit) {
	for i := range v.Photos {
		p := &v.Photos[i]
		if p.Faulty {
			continue
		}
		data, ok := r.named(path.Join(r.Dir, photosDir), p.File, "a JPEG or PNG file in the folder photos of the site")
		if !ok {
			continue
		}
		images, err := picture.Photo(data)
		if err != nil {
			r.unfit(p.File, err)
		}
		p.Images = images
	}
}

// unfit says at the name of a picture what is wrong with it.
func (r *reader) unfit(name source.At[string], err error) {
	var p *diag.Problem
	if errors.As(err, &p) {
		r.faults.Add(p.At(name.Pos))
		return
	}
	r.faults.At(name.Pos, err.Error(), "")
}
