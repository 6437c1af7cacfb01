package report

import (
	"bytes"
	"image"
	"image/color"
	stddraw "image/draw"
	"image/jpeg"
	"testing"

	"undercroft/annotate"
	"undercroft/survey"
)

// TestWritePinned: the pins are drawn where they are, in ink and white on a grey picture, and nothing but pixels is in the file.
func TestWritePinned(t *testing.T) {
	r := demoRecord(t)
	c := survey.Compute(r)
	grey := image.NewRGBA(image.Rect(0, 0, 800, 600))
	stddraw.Draw(grey, grey.Bounds(), image.NewUniform(color.Gray{128}), image.Point{}, stddraw.Src)
	var picture bytes.Buffer
	if err := jpeg.Encode(&picture, grey, nil); err != nil {
		t.Fatal(err)
	}
	photo := r.Photos[4]
	var out bytes.Buffer
	if err := WritePinned(&out, r, c, photo.ID, picture.Bytes()); err != nil {
		t.Fatal(err)
	}
	if err := annotate.PixelsOnly(out.Bytes()); err != nil {
		t.Error(err)
	}
	got, err := jpeg.Decode(&out)
	if err != nil {
		t.Fatal(err)
	}
	for _, pin := range r.PinsOn(photo.ID) {
		dark, light := 0, 0
		x, y := int(pin.X*800), int(pin.Y*600)
		for dy := -40; dy <= 40; dy++ {
			for dx := -40; dx <= 40; dx++ {
				v, _, _, _ := got.At(x+dx, y+dy).RGBA()
				if v>>8 < 70 {
					dark++
				} else if v>>8 > 200 {
					light++
				}
			}
		}
		if dark < 30 || light < 30 {
			t.Errorf("round pin %d there are %d dark and %d light pixels", pin.Number, dark, light)
		}
	}
	if err := WritePinned(&out, r, c, "none", picture.Bytes()); survey.KindOf(err) != survey.NotFound {
		t.Errorf("no such photo: %v", err)
	}
	if err := WritePinned(&out, r, c, photo.ID, []byte("no picture")); err == nil {
		t.Error("what is no picture was drawn on")
	}
}
