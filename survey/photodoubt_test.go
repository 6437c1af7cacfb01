package survey

import (
	"math"
	"strings"
	"testing"

	"undercroft/annotate"
)

// Published great-circle distances: BNA to LAX on a sphere of 6371.0 km (Rosetta Code, "Haversine formula") and Lyon to Paris and to New York
// on one of 6371.0088 km (the worked example of a public haversine library).
func TestDistance(t *testing.T) {
	for _, test := range []struct {
		name                   string
		lat1, lon1, lat2, lon2 float64
		km, radius             float64
	}{
		{"BNA-LAX", 36.12, -86.67, 33.94, -118.40, 2886.444442837983, 6371.0},
		{"Lyon-Paris", 45.7597, 4.8422, 48.8567, 2.3508, 392.2172595594006, 6371.0088},
		{"Lyon-New York", 45.7597, 4.8422, 40.7033962, -74.2351462, 6163.43638211, 6371.0088},
	} {
		got := distance(test.lat1, test.lon1, test.lat2, test.lon2) / 1000 * test.radius / (earthRadius / 1000)
		if math.Abs(got-test.km) > 1e-6 {
			t.Errorf("%s: got %.9f km, want %.9f", test.name, got, test.km)
		}
	}
	if got := distance(90, 0, -90, 0); math.Abs(got-math.Pi*earthRadius) > 1e-6 {
		t.Errorf("pole to pole: got %v m, want half a turn", got)
	}
}

func TestPhotoDoubts(t *testing.T) {
	at := func(number int, lat, lon float64, taken, hash string) Photo {
		return Photo{ID: PhotoID(InputID(number)), Number: number, Meta: annotate.Meta{Latitude: &lat, Longitude: &lon, Taken: taken, Quality: &annotate.Quality{Hash: hash}}}
	}
	r := Record{Photos: []Photo{
		at(1, 47.73000, -87.90000, "2026-09-14T09:12:31", "00000000000000ff"),
		at(2, 47.73001, -87.90001, "2026-09-14T09:13:02", "ffff00000000ffff"),
		at(3, 47.73001, -87.90001, "2026-09-14T09:13:40", "ffff00000000fffe"), // one bit from photo 2
		at(4, 47.73000, -87.90000, "2026-09-13T17:00:00", "f0f0f0f0f0f0f0f0"),
		at(5, 47.74000, -87.90000, "2026-09-14T09:20:00", "0f0f0f0f0f0f0f0f"), // 0.01 degrees of latitude, 1.11 km (1 degree is 111.195 km)
		{ID: "p6", Number: 6}, // says nothing of itself
	}}
	want := map[PhotoID]string{"p3": "same view as photo 2", "p4": "2026-09-13", "p5": "0.7 miles"}
	got := PhotoDoubts(r)
	for id, text := range want {
		if len(got[id]) != 1 || !strings.Contains(got[id][0], text) {
			t.Errorf("%s: got %q, want one sentence with %q", id, got[id], text)
		}
	}
	if len(got) != len(want) {
		t.Errorf("got doubts about %v, want %v only", got, want)
	}
	r.Survey.VisitDate = "2026-09-13"
	if got := PhotoDoubts(r); len(got["p4"]) != 0 || len(got["p1"]) != 1 {
		t.Errorf("with the visit on the 13th: got %v", got)
	}
}
