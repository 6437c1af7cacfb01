package survey

import (
	"fmt"
	"math"
	"slices"
	"strings"

	"undercroft/annotate"
)

// earthRadius is the mean radius of the earth in meters (IUGG, R1).
const earthRadius = 6371008.8

// The limits beyond which a photo is doubted: how far it was taken from the middle of the others, in meters. A phone under a deck is good
// to some tens of meters (common practice, no source).
const farAway = 200

// distance is the great-circle distance in meters between two places in degrees, by the haversine formula.
func distance(lat1, lon1, lat2, lon2 float64) float64 {
	rad := math.Pi / 180
	a := math.Sin((lat2 - lat1) / 2 * rad)
	b := math.Sin((lon2 - lon1) / 2 * rad)
	h := a*a + math.Cos(lat1*rad)*math.Cos(lat2*rad)*b*b
	return 2 * earthRadius * math.Asin(math.Sqrt(min(1, h)))
}

// PhotoDoubts lists, for each photo, what makes one look again while still on site: a second shot of the same view, another day than the
// visit's, another place than the other photos'. They are sentences, never a reason to refuse a photo. What the picture itself shows (blur,
// darkness) stands in its Meta.Warnings.
func PhotoDoubts(r Record) map[PhotoID][]string {
	doubts := map[PhotoID][]string{}
	day := usualDay(r)
	for i, p := range r.Photos {
		say := func(format string, args ...any) { doubts[p.ID] = append(doubts[p.ID], fmt.Sprintf(format, args...)) }
		for _, earlier := range r.Photos[:i] {
			if sameView(p, earlier) {
				say("It shows the same view as photo %d.", earlier.Number)
				break
			}
		}
		if taken, _, _ := strings.Cut(p.Meta.Taken, "T"); taken != "" && day != "" && taken != day {
			say("The camera's clock says %s; the visit was on %s.", taken, day)
		}
		if meters, ok := fromTheOthers(r, i); ok && meters > farAway {
			say("It was taken %s from the other photos.", howFar(meters))
		}
	}
	return doubts
}

// sameView compares two photos by their perceptual hashes; the same bytes are always the same view.
func sameView(a, b Photo) bool {
	if a.SHA256 != "" && a.SHA256 == b.SHA256 {
		return true
	}
	if a.Meta.Quality == nil || b.Meta.Quality == nil {
		return false
	}
	bits, ok := annotate.HashDistance(a.Meta.Quality.Hash, b.Meta.Quality.Hash)
	return ok && bits <= annotate.NearDuplicate
}

// usualDay is the day of the visit, else the day on which most photos were taken; empty when neither says.
func usualDay(r Record) string {
	if r.Survey.VisitDate != "" {
		return r.Survey.VisitDate
	}
	count, best := map[string]int{}, ""
	for _, p := range r.Photos {
		day, _, _ := strings.Cut(p.Meta.Taken, "T")
		if count[day]++; day != "" && (best == "" || count[day] > count[best]) {
			best = day
		}
	}
	return best
}

// fromTheOthers is how far photo i was taken from the middle of the others, the median of each coordinate; ok is false when it or too few
// of the others (two at least) say where.
func fromTheOthers(r Record, i int) (meters float64, ok bool) {
	var lats, lons []float64
	for k, p := range r.Photos {
		if k != i && p.Meta.Latitude != nil && p.Meta.Longitude != nil {
			lats, lons = append(lats, *p.Meta.Latitude), append(lons, *p.Meta.Longitude)
		}
	}
	m := r.Photos[i].Meta
	if m.Latitude == nil || m.Longitude == nil || len(lats) < 2 {
		return 0, false
	}
	slices.Sort(lats)
	slices.Sort(lons)
	return distance(*m.Latitude, *m.Longitude, lats[len(lats)/2], lons[len(lons)/2]), true
}

// howFar says a distance in feet or miles, roughly, as it is only a hint.
func howFar(meters float64) string {
	if feet := meters / 0.3048; feet < 2640 {
		return fmt.Sprintf("about %.0f feet", math.Round(feet/50)*50)
	}
	return fmt.Sprintf("about %.1f miles", meters/1609.344)
}
