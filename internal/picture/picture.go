// Package picture makes photos and logos fit to be published: brought to a few
// sizes, upright, and with everything taken out that a page does not show: the
// place and time of a photo, scripts and links of a drawing. It knows no file.
package picture

import (
	"bytes"
	"encoding/binary"
	"image"
	"image/jpeg"
	"image/png"

	"golang.org/x/image/draw"

	"auditgen/internal/diag"
)

// Image is a finished picture.
type Image struct {
	Type          string // image/jpeg, image/png or image/svg+xml
	Data          []byte
	Width, Height int // pixels
}

// mostPixels is the largest picture that is opened, in pixels: a small file can
// unfold to one that fills the memory.
const mostPixels = 80_000_000

// Widths are the widths that a photo is brought to, in pixels, for phones,
// screens and large screens; it is never enlarged.
var Widths = []int{480, 960, 1600}

// quality is that of the JPEGs, 1 to 100: common practice for photos on a page.
const quality = 80

// Photo brings a JPEG or PNG to each of the widths that it can fill, narrowest
// first; a small one keeps its own. What comes out is drawn anew, so that
// nothing of the file but its picture is left.
func Photo(data []byte) ([]Image, error) {
	source, err := open(data)
	if err != nil {
		return nil, err
	}
	source = upright(source, orientation(data))
	var out []Image
	for i, width := range Widths {
		if own := source.Bounds().Dx(); width > own {
			if i > 0 {
				break
			}
			width = own
		}
		scaled := resized(source, width)
		var b bytes.Buffer
		if err := jpeg.Encode(&b, scaled, &jpeg.Options{Quality: quality}); err != nil {
			return nil, err
		}
		out = append(out, Image{"image/jpeg", b.Bytes(), scaled.Bounds().Dx(), scaled.Bounds().Dy()})
	}
	return out, nil
}

func open(data []byte) (image.Image, error) {
	size, kind, err := image.DecodeConfig(bytes.NewReader(data))
	if err != nil || kind != "jpeg" && kind != "png" {
		return nil, &diag.Problem{What: "the file is no picture that can be read", Expected: "a JPEG or PNG file"}
	}
	if size.Width*size.Height > mostPixels || size.Width == 0 || size.Height == 0 {
		return nil, &diag.Problem{What: "the picture is too large", Expected: "at most 80 million pixels"}
	}
	picture, _, err := image.Decode(bytes.NewReader(data))
	if err != nil {
		return nil, &diag.Problem{What: "the picture is damaged: " + err.Error(), Expected: "a JPEG or PNG file"}
	}
	return picture, nil
}

// resized scales a picture to a width; what is transparent becomes white.
func resized(source image.Image, width int) *image.RGBA {
	b := source.Bounds()
	height := max(1, (b.Dy()*width+b.Dx()/2)/b.Dx())
	out := image.NewRGBA(image.Rect(0, 0, width, height))
	draw.Draw(out, out.Bounds(), image.White, image.Point{}, draw.Src)
	draw.CatmullRom.Scale(out, out.Bounds(), source, b, draw.Over, nil)
	return out
}

// upright turns and mirrors a picture as its orientation says (Exif 2.32, tag
// 274, table 6): for each place of the result, the place of the source.
func upright(source image.Image, orientation int) image.Image {
	if orientation < 2 || orientation > 8 {
		return source
	}
	b := source.Bounds()
	w, h := b.Dx(), b.Dy()
	width, height := w, h
	if orientation >= 5 {
		width, height = h, w
	}
	out := image.NewRGBA(image.Rect(0, 0, width, height))
	for y := range height {
		for x := range width {
			from := [...]image.Point{2: {w - 1 - x, y}, 3: {w - 1 - x, h - 1 - y}, 4: {x, h - 1 - y}, 5: {y, x}, 6: {y, h - 1 - x}, 7: {w - 1 - y, h - 1 - x}, 8: {w - 1 - y, x}}[orientation]
			out.Set(x, y, source.At(b.Min.X+from.X, b.Min.Y+from.Y))
		}
	}
	return out
}

// orientation reads how a JPEG was held, 1 to 8, from its Exif segment (Exif
// 2.32, 4.5 to 4.7: an APP1 segment, in it a TIFF header and its first
// directory); 1 where it does not say.
func orientation(data []byte) int {
	for at := 2; at+4 <= len(data) && data[at] == 0xff && data[at+1] != 0xda; {
		length := int(binary.BigEndian.Uint16(data[at+2:]))
		if length < 2 || at+2+length > len(data) {
			return 1
		}
		if segment := data[at+4 : at+2+length]; data[at+1] == 0xe1 && bytes.HasPrefix(segment, []byte("Exif\x00\x00")) {
			return fromTIFF(segment[6:])
		}
		at += 2 + length
	}
	return 1
}

func fromTIFF(data []byte) int {
	const tag, entry = 0x0112, 12
	var order binary.ByteOrder = binary.BigEndian
	if bytes.HasPrefix(data, []byte("II")) {
		order = binary.LittleEndian
	}
	if len(data) < 8 {
		return 1
	}
	first := int(order.Uint32(data[4:]))
	if first < 8 || first+2 > len(data) {
		return 1
	}
	for i := range int(order.Uint16(data[first:])) {
		at := first + 2 + i*entry
		if at+entry > len(data) {
			break
		}
		if order.Uint16(data[at:]) == tag {
			return int(order.Uint16(data[at+8:]))
		}
	}
	return 1
}

// logoHeight is the most pixels that a logo keeps: twice what a page shows.
const logoHeight = 160

// rasterLogo draws a PNG anew, smaller where it is large.
func rasterLogo(data []byte) (Image, error) {
	source, err := open(data)
	if err != nil {
		return Image{}, err
	}
	b := source.Bounds()
	height := min(b.Dy(), logoHeight)
	out := image.NewNRGBA(image.Rect(0, 0, max(1, b.Dx()*height/b.Dy()), height))
	draw.CatmullRom.Scale(out, out.Bounds(), source, b, draw.Src, nil)
	var buffer bytes.Buffer
	if err := png.Encode(&buffer, out); err != nil {
		return Image{}, err
	}
	return Image{"image/png", buffer.Bytes(), out.Bounds().Dx(), out.Bounds().Dy()}, nil
}
