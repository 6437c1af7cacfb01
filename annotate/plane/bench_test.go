package plane

import (
	"math/rand/v2"
	"testing"
)

// BenchmarkPhoto is what one visit to a photo's page costs: 8 references, 20 pins, model HDK.
func BenchmarkPhoto(b *testing.B) {
	s := scene{image: Image{4000, 3000, 26}, x: 260, y: 190, below: 60, heading: -1.7, elevation: 0.75, tap: 4, tape: 0.125}
	s.focal = s.image.Focal()
	r := rand.New(rand.NewPCG(91, 1))
	refs, _ := s.references(r, s.spread(r, 8))
	var taps []Tap
	for range 20 {
		px, _ := s.tapped(r, s.area(r, 2), 0)
		taps = append(taps, Tap{"P", px, 4})
	}
	b.ReportAllocs()
	for b.Loop() {
		p, err := Fit(refs, s.image, DefaultOptions())
		if err != nil {
			b.Fatal(err)
		}
		for _, t := range taps {
			if _, err := p.Locate(t); err != nil {
				b.Fatal(err)
			}
		}
	}
}

// BenchmarkBlunder is the search among 8 references, one of them typed wrongly.
func BenchmarkBlunder(b *testing.B) {
	s := scene{image: Image{4000, 3000, 26}, x: 260, y: 190, below: 60, heading: -1.7, elevation: 0.75, tap: 4, tape: 0.125}
	s.focal = s.image.Focal()
	r := rand.New(rand.NewPCG(92, 1))
	refs, _ := s.references(r, s.spread(r, 8))
	refs[3].Plan.X += 12
	for b.Loop() {
		if p, err := Fit(refs, s.image, DefaultOptions()); err != nil || p.Blunder == nil {
			b.Fatal(err)
		}
	}
}

// BenchmarkBundle is a long deck in 6 photos.
func BenchmarkBundle(b *testing.B) {
	in := longDeck(6).shoot(rand.New(rand.NewPCG(93, 1)))
	opt := DefaultOptions()
	b.ReportAllocs()
	for b.Loop() {
		if _, err := FitBundle(in, opt); err != nil {
			b.Fatal(err)
		}
	}
}
