package picture

import (
	"bytes"
	"encoding/binary"
	"image"
	"image/color"
	"image/jpeg"
	"image/png"
	"slices"
	"strings"
	"testing"
)

// corners is a picture with a red upper left, a green upper right and a blue
// lower left corner.
func corners(w, h int) *image.RGBA {
	m := image.NewRGBA(image.Rect(0, 0, w, h))
	for y := range h {
		for x := range w {
			c := color.RGBA{255, 255, 255, 255}
			switch {
			case x < w/4 && y < h/4:
				c = color.RGBA{255, 0, 0, 255}
			case x >= w-w/4 && y < h/4:
				c = color.RGBA{0, 160, 0, 255}
			case x < w/4 && y >= h-h/4:
				c = color.RGBA{0, 0, 255, 255}
			}
			m.SetRGBA(x, y, c)
		}
	}
	return m
}

// withExif is a JPEG with an Exif segment: the orientation, the camera, and a
// position (Exif 2.32, 4.6: tags 274, 271 and the GPS directory 34853).
func withExif(t *testing.T, m image.Image, orientation uint16, order binary.AppendByteOrder, mark string) []byte {
	t.Helper()
	var b bytes.Buffer
	if err := jpeg.Encode(&b, m, &jpeg.Options{Quality: 95}); err != nil {
		t.Fatal(err)
	}
	tiff := []byte(mark)
	u16 := func(v ...uint16) {
		for _, x := range v {
			tiff = order.AppendUint16(tiff, x)
		}
	}
	u32 := func(v ...uint32) {
		for _, x := range v {
			tiff = order.AppendUint32(tiff, x)
		}
	}
	u16(42)
	u32(8)
	u16(3)
	u16(271, 2)
	u32(8, 50)
	u16(274, 3)
	u32(1)
	u16(orientation, 0)
	u16(34853, 4)
	u32(1, 58)
	u32(0)
	tiff = append(tiff, "Maker 1\x00"...)
	u16(1)
	u16(1, 2)
	u32(2)
	tiff = append(tiff, "N\x00\x00\x00"...)
	u32(0)
	tiff = append(tiff, "GPS 53.1234 -6.5678"...)
	segment := append([]byte("Exif\x00\x00"), tiff...)
	head := []byte{0xff, 0xd8, 0xff, 0xe1}
	head = binary.BigEndian.AppendUint16(head, uint16(len(segment)+2))
	return slices.Concat(head, segment, b.Bytes()[2:])
}

// TestUpright turns a picture that was taken with the camera held in each of the
// eight ways; where a corner must come to lie is Exif 2.32, table 6: the side
// that row 0 and column 0 of the file stand for.
func TestUpright(t *testing.T) {
	// Where the file's red, green and blue corners come to lie: upper or lower,
	// left or right.
	want := map[uint16][3]string{
		1: {"ul", "ur", "ll"}, 2: {"ur", "ul", "lr"}, 3: {"lr", "ll", "ur"}, 4: {"ll", "lr", "ul"},
		5: {"ul", "ll", "ur"}, 6: {"ur", "lr", "ul"}, 7: {"lr", "ur", "ll"}, 8: {"ll", "ul", "lr"},
	}
	for o, places := range want {
		order, mark := binary.AppendByteOrder(binary.BigEndian), "MM"
		if o%2 == 0 {
			order, mark = binary.LittleEndian, "II"
		}
		images, err := Photo(withExif(t, corners(320, 160), o, order, mark))
		if err != nil {
			t.Fatal(err)
		}
		m, err := jpeg.Decode(bytes.NewReader(images[0].Data))
		if err != nil {
			t.Fatal(err)
		}
		w, h := m.Bounds().Dx(), m.Bounds().Dy()
		if tall := o >= 5; tall != (h > w) || images[0].Width != w || images[0].Height != h {
			t.Errorf("orientation %d: %d × %d", o, w, h)
		}
		at := map[string]image.Point{"ul": {8, 8}, "ur": {w - 9, 8}, "ll": {8, h - 9}, "lr": {w - 9, h - 9}}
		for i, name := range []string{"red", "green", "blue"} {
			r, g, b, _ := m.At(at[places[i]].X, at[places[i]].Y).RGBA()
			got := map[bool]string{r > 45000 && g < 20000: "red", g > 30000 && r < 20000 && b < 20000: "green", b > 45000 && r < 20000: "blue"}[true]
			if got != name {
				t.Errorf("orientation %d: %s is not at %s", o, name, places[i])
			}
		}
	}
}

// TestPhotoKeepsNothing finds neither position nor camera in what comes out.
func TestPhotoKeepsNothing(t *testing.T) {
	data := withExif(t, corners(2000, 1000), 1, binary.BigEndian, "MM")
	if !bytes.Contains(data, []byte("GPS 53.1234")) {
		t.Fatal("the test's photo carries no position")
	}
	images, err := Photo(data)
	if err != nil {
		t.Fatal(err)
	}
	var widths []int
	for _, m := range images {
		widths = append(widths, m.Width)
		for _, trace := range []string{"GPS", "Exif", "Maker", "\xff\xe1"} {
			if bytes.Contains(m.Data, []byte(trace)) {
				t.Errorf("%d px: holds %q", m.Width, trace)
			}
		}
	}
	if !slices.Equal(widths, Widths) {
		t.Errorf("widths %v, not %v", widths, Widths)
	}
	small, err := Photo(withExif(t, corners(200, 100), 1, binary.BigEndian, "MM"))
	if err != nil || len(small) != 1 || small[0].Width != 200 {
		t.Errorf("a small photo was enlarged: %+v (%v)", small, err)
	}
	for _, bad := range []string{"", "GIF89a", "\xff\xd8\xff\xe1\x00", "<svg/>"} {
		if _, err := Photo([]byte(bad)); err == nil {
			t.Errorf("%q is taken for a photo", bad)
		}
	}
}

func TestLogoPNG(t *testing.T) {
	var b bytes.Buffer
	if err := png.Encode(&b, corners(800, 400)); err != nil {
		t.Fatal(err)
	}
	// A text chunk after the header, as cameras and editors write it.
	text := []byte("\x00\x00\x00\x0ctEXtAuthor\x00Nadie\x00\x00\x00\x00")
	data := slices.Concat(b.Bytes()[:33], text, b.Bytes()[33:])
	m, err := Logo(b.Bytes())
	if err != nil || m.Type != "image/png" || m.Width != 320 || m.Height != 160 {
		t.Fatalf("%s of %d × %d (%v)", m.Type, m.Width, m.Height, err)
	}
	if again, err := Logo(data); err == nil && bytes.Contains(again.Data, []byte("Nadie")) {
		t.Error("a text of the file is left")
	}
}

func TestLogoSVG(t *testing.T) {
	const hostile = `<?xml version="1.0"?><!DOCTYPE svg [<!ENTITY x "boo">]>
<svg xmlns="http://www.w3.org/2000/svg" xmlns:xlink="http://www.w3.org/1999/xlink" viewBox="0 0 200 50" onload="alert(1)" style="background:url(https://h.example/)">
<script>alert(2)</script><style>@import url(https://h.example/)</style><foreignObject><b/></foreignObject>
<a xlink:href="javascript:alert(3)"><path d="M9 9"/></a><image href="https://h.example/x.png"/><use href="#p"/>
<defs><linearGradient id="g"><stop offset="0" stop-color="#0d5b66"/></linearGradient></defs>
<path id="p" d="M0 0h200v50H0z" fill="url(#g)" onclick="alert(4)" stroke="url(https://h.example/)"/><text>hello</text><animate attributeName="href"/>
</svg>`
	m, err := Logo([]byte(hostile))
	if err != nil || m.Width != 640 || m.Height != 160 {
		t.Fatalf("%d × %d (%v)", m.Width, m.Height, err)
	}
	got := string(m.Data)
	for _, never := range []string{"script", "alert", "h.example", "style", "foreignObject", "href", "<use", "<text", "animate", "ENTITY", "onload"} {
		if strings.Contains(got, never) {
			t.Errorf("holds %s: %s", never, got)
		}
	}
	for _, kept := range []string{`fill="url(#g)"`, "<linearGradient", "M0 0h200v50H0z"} {
		if !strings.Contains(got, kept) {
			t.Errorf("lost %s: %s", kept, got)
		}
	}
	for _, bad := range []string{"", "<svg>", `<svg xmlns="http://www.w3.org/2000/svg"/>`, "<html viewBox='0 0 1 1'/>", "\x89PNG\r\n"} {
		if _, err := Logo([]byte(bad)); err == nil {
			t.Errorf("%q is taken for a logo", bad)
		}
	}
}
