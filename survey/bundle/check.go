package bundle

import (
	"encoding/json"
	"regexp"
	"slices"
	"strings"
	"unicode"

	"undercroft/annotate"
	"undercroft/survey"
)

// Limits on the texts of a bundle, those that the forms keep included.
const (
	maxText = 20_000 // bytes of one text
	maxRows = 100_000
)

var reportName = regexp.MustCompile(`^[a-z0-9.-]{1,60}$`)

// checkDocument checks what survey.json says, and that it names every file and no other.
func (b *Bundle) checkDocument(d document) error {
	if err := survey.Survey(d.Survey).Validate(); err != nil {
		return refuse("its survey is none: %s", survey.Message(err))
	}
	if _, err := survey.ParseID(string(d.Survey.ID)); err != nil {
		return refuse("its survey has no id")
	}
	if len(d.Photos)+len(d.Pins)+len(d.Facts)+len(d.History)+len(d.Revisions)+len(d.Renditions)+len(d.Links)+len(d.Inquiries)+len(d.Approvals)+len(d.Finishes)+len(d.Seals)+len(d.Filings)+d.rows() > maxRows {
		return refuse("it has more than %d rows", maxRows)
	}
	named := map[string]bool{surveyName: true, sumsName: true}
	for _, check := range []func(document, map[string]bool) error{b.checkPhotos, checkPins, checkFacts, b.checkIssued, checkDecided, b.checkFinished, b.checkSaid, checkFiled, checkHistory, checkSeals} {
		if err := check(d, named); err != nil {
			return err
		}
	}
	for name := range b.files {
		if !named[name] && !strings.HasPrefix(name, "blobs/") {
			return refuse("nothing names %q", name)
		}
	}
	return nil
}

func (b *Bundle) checkPhotos(d document, named map[string]bool) error {
	numbers, ids := map[int]bool{}, map[survey.PhotoID]bool{}
	for _, p := range d.Photos {
		if _, err := survey.ParseID(string(p.ID)); err != nil || ids[p.ID] || numbers[p.Number] || p.Number < 1 || p.Number > d.LastPhoto || p.Version < 1 || p.Survey != d.Survey.ID {
			return refuse("photo %d is not in order", p.Number)
		}
		ids[p.ID], numbers[p.Number] = true, true
		if !clean(p.Name) || !clean(p.Caption) {
			return refuse("a text of photo %d is not in order", p.Number)
		}
		name := photoFile(survey.Photo(p))
		if b.sums[name] != p.SHA256 || int64(b.files[name].UncompressedSize64) != p.Bytes || p.Bytes > survey.MaxPhotoBytes { // #nosec G115 -- list has bounded it by maxTotal
			return refuse("%s is not the file that photo %d is", name, p.Number)
		}
		named[name] = true
		if (p.Screen == "") != (p.Thumb == "") || p.Width < 0 || p.Height < 0 {
			return refuse("photo %d is not in order", p.Number)
		}
		if err := b.checkPictures(p.Screen, p.Thumb); err != nil {
			return err
		}
	}
	return nil
}

// checkPictures checks that pictures are there and are pixels and nothing else: other people's browsers are going to show them.
func (b *Bundle) checkPictures(sums ...string) error {
	for _, sum := range sums {
		if sum == "" {
			continue
		}
		name, err := b.find(sum)
		if err != nil {
			return err
		}
		body, err := b.read(name, survey.MaxPhotoBytes)
		if err != nil {
			return err
		}
		if err := annotate.PixelsOnly(body); err != nil {
			return refuse("the picture %s is none of this program's: %s", name, err)
		}
	}
	return nil
}

// find names a file by its sum.
func (b *Bundle) find(sum string) (string, error) {
	if name := blobFile(sum); b.sums[name] == sum {
		return name, nil
	}
	for name, have := range b.sums {
		if have == sum {
			return name, nil
		}
	}
	return "", refuse("the file of sum %s is missing", clip(sum))
}

func checkPins(d document, _ map[string]bool) error {
	numbers, ids := map[int]bool{}, map[survey.PinID]bool{}
	for _, p := range d.Pins {
		_, known := survey.KindInfo(p.Kind)
		_, err := survey.ParseID(string(p.ID))
		on := slices.ContainsFunc(d.Photos, func(photo photoDoc) bool { return photo.ID == p.Photo })
		if err != nil || !known || !on || ids[p.ID] || numbers[p.Number] || p.Number < 1 || p.Number > d.LastPin || p.Version < 1 || p.Survey != d.Survey.ID || !onPicture(p) {
			return refuse("pin %d is not in order", p.Number)
		}
		ids[p.ID], numbers[p.Number] = true, true
		for key, text := range p.Values {
			if !clean(key) || !clean(text) {
				return refuse("a text of pin %d is not in order", p.Number)
			}
		}
		if !clean(p.Note) || !clean(p.By) {
			return refuse("a text of pin %d is not in order", p.Number)
		}
	}
	return nil
}

func onPicture(p survey.Pin) bool {
	in := func(v float64) bool { return v >= 0 && v <= 1 }
	return in(p.X) && in(p.Y) && (p.X2 == nil) == (p.Y2 == nil) && (p.X2 == nil || in(*p.X2) && in(*p.Y2))
}

func checkFacts(d document, _ map[string]bool) error {
	keys := map[string]bool{}
	for _, f := range d.Facts {
		if f.Key == "" || keys[f.Key] || f.Version < 1 || !clean(f.Key) || !clean(f.Text) {
			return refuse("the fact %q is not in order", clip(f.Key))
		}
		keys[f.Key] = true
	}
	return nil
}

// checkIssued checks that each revision's content and each report are the files that were issued.
func (b *Bundle) checkIssued(d document, named map[string]bool) error {
	for i, r := range d.Revisions {
		if r.Number != i+1 {
			return refuse("revision %d is missing", i+1)
		}
		name := revisionFile(r.Number)
		if b.sums[name] != r.SHA256 {
			return refuse("%s is not what was issued as revision %d", name, r.Number)
		}
		if !clean(r.By) || !clean(r.Although) {
			return refuse("a text of revision %d is not in order", r.Number)
		}
		named[name] = true
	}
	for _, r := range d.Renditions {
		if r.Number < 1 || r.Number > len(d.Revisions) || !reportName.MatchString(r.Name) {
			return refuse("the report %q belongs to no revision", clip(r.Name))
		}
		name := reportFile(survey.Rendition(r))
		if b.files[name] == nil || b.sums[name] != r.SHA256 || b.files[name].UncompressedSize64 > maxReport {
			return refuse("%s is not the report that was made", name)
		}
		named[name] = true
	}
	return nil
}

func checkHistory(d document, _ map[string]bool) error {
	for i, c := range d.History {
		kind := slices.Contains([]string{"survey", "photo", "pin", "fact"}, c.Kind)
		what := slices.Contains([]string{"create", "update", "delete", "restore"}, c.What)
		var row map[string]any
		if err := json.Unmarshal(c.Row, &row); err != nil || row == nil || !kind || !what || !clean(c.ID) || !clean(c.By) {
			return refuse("change %d of the history is not in order", i+1)
		}
	}
	return nil
}

// checkRevisions checks the chain: each revision's content says itself which revision it is, which one it follows and which photos it stands on.
func (b *Bundle) checkRevisions() error {
	prev := ""
	for _, r := range b.Snapshot.Revisions {
		name := revisionFile(r.Number)
		body, err := b.read(name, maxJSON)
		if err != nil {
			return err
		}
		if err := survey.CheckJSON(body); err != nil {
			return refuse("%s cannot be read: %s", name, err)
		}
		var content frozenContent
		if err := json.Unmarshal(body, &content); err != nil {
			return refuse("%s cannot be read", name)
		}
		if r.Prev != prev || content.Prev != prev || content.Number != r.Number || content.Survey != r.Survey {
			return refuse("%s does not follow the revision before it", name)
		}
		for _, p := range content.Photos {
			if _, err := b.find(p.SHA256); err != nil {
				return err
			}
			if err := b.checkPictures(p.Screen, p.Thumb); err != nil {
				return err
			}
		}
		prev = r.SHA256
	}
	return nil
}

// clean tells whether a text is such as forms let through: not too long, no control characters but the line's end, no marks that turn the reading
// direction.
func clean(text string) bool {
	return len(text) <= maxText && !strings.ContainsFunc(text, func(r rune) bool {
		return r != '\n' && unicode.IsControl(r) || r >= 0x202a && r <= 0x202e || r >= 0x2066 && r <= 0x2069
	})
}
