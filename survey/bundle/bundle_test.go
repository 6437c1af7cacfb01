package bundle

import (
	"archive/zip"
	"bytes"
	"context"
	"crypto/sha256"
	"encoding/json"
	"fmt"
	"image"
	"image/jpeg"
	"io"
	"io/fs"
	"math/rand/v2"
	"os"
	"os/exec"
	"path/filepath"
	"slices"
	"strings"
	"testing"
	"time"

	"github.com/google/go-cmp/cmp"

	"undercroft/survey"
	"undercroft/survey/store"
)

func must[T any](v T, err error) func(testing.TB) T {
	return func(tb testing.TB) T {
		tb.Helper()
		if err != nil {
			tb.Fatal(err)
		}
		return v
	}
}

func newStore(tb testing.TB) (*store.Store, string) {
	tb.Helper()
	dir := tb.TempDir()
	s := must(store.Open(context.Background(), store.Config{Dir: dir, Now: func() time.Time { return time.Date(2026, 6, 4, 9, 30, 0, 0, time.UTC) }}))(tb)
	tb.Cleanup(func() {
		if err := s.Close(); err != nil {
			tb.Error(err)
		}
	})
	return s, dir
}

// picture is a JPEG as the standard library writes it, all of one colour.
func picture(tb testing.TB, shade uint8, size int) []byte {
	tb.Helper()
	img := image.NewGray(image.Rect(0, 0, size, size))
	for i := range img.Pix {
		img.Pix[i] = shade
	}
	var out bytes.Buffer
	if err := jpeg.Encode(&out, img, nil); err != nil {
		tb.Fatal(err)
	}
	return out.Bytes()
}

// house is a survey with photos, pins, facts, a photo that was removed after a revision was issued on it, and two revisions with a report each.
func house(tb testing.TB, s *store.Store) survey.SurveyID {
	tb.Helper()
	ctx := context.Background()
	v := must(s.CreateSurvey(ctx, survey.Survey{ID: survey.SurveyID(survey.NewID()), Title: "Larkmoor house", Notes: "ring first"}))(tb)
	blob := func(b []byte) string {
		return must(s.ReceiveBlob(ctx, bytes.NewReader(b), survey.MaxPhotoBytes))(tb).SHA256
	}
	var photos []survey.Photo
	for i := range 3 {
		original := append(picture(tb, uint8(i), 64), "the camera’s own notes"...)
		p := survey.Photo{ID: survey.PhotoID(survey.NewID()), Survey: v.ID, Name: fmt.Sprintf("IMG %d (été).jpg", i), SHA256: blob(original), Bytes: int64(len(original)),
			Screen: blob(picture(tb, uint8(10+i), 48)), Thumb: blob(picture(tb, uint8(20+i), 16)), Width: 64, Height: 64}
		photos = append(photos, must(s.AddPhoto(ctx, p))(tb))
	}
	must(s.PutPin(ctx, survey.Pin{ID: survey.PinID(survey.NewID()), Survey: v.ID, Photo: photos[0].ID, Kind: survey.PinNote, X: 0.25, Y: 0.5, Note: "=1+1 <b>", By: "Ana"}))(tb)
	must(s.PutFacts(ctx, v.ID, []survey.Fact{{Key: "width", Text: "28'"}, {Key: "projection", Text: "14'"}}))(tb)
	next := survey.NextRevision(v.ID, nil)
	for n := range 2 {
		content := frozenContent{Survey: v.ID, Number: next.Number, Prev: next.Prev}
		for _, p := range photos[:3-n] {
			content.Photos = append(content.Photos, frozenPhoto{p.SHA256, p.Screen, p.Thumb})
		}
		next.SHA256, next.By, next.At = blob(must(json.Marshal(content))(tb)), "Ana", time.UnixMilli(1000).UTC()
		must(s.Issue(ctx, next))(tb)
		must(s.KeepRendition(ctx, next, "crew-en-letter.pdf", blob(fmt.Appendf(nil, "%%PDF of revision %d", next.Number))))(tb)
		if n == 0 {
			if err := s.DeletePhoto(ctx, v.ID, photos[2].ID, 1); err != nil {
				tb.Fatal(err)
			}
			decide(tb, s, next)
			next = survey.NextRevision(v.ID, []survey.Revision{next})
		}
	}
	decide(tb, s, next)
	for _, act := range []survey.FilingAct{survey.Archived, survey.Deleted, survey.Returned, survey.Archived} {
		must(s.File(survey.WithPerson(ctx, survey.Person{Name: "Olive"}), v.ID, act))(tb)
	}
	return v.ID
}

// linkSecret is the token of the links that house makes.
const linkSecret = "a secret of the house"

// decide makes two links to a revision, one of which is revoked, asks a question by the other, answers it, and approves.
func decide(tb testing.TB, s *store.Store, v survey.Revision) {
	tb.Helper()
	ctx := context.Background()
	link := func(token string) survey.Link {
		l := survey.Link{ID: survey.LinkID(survey.NewID()), Survey: v.Survey, Number: v.Number, By: "Ana", Expires: time.Date(2026, 8, 1, 0, 0, 0, 0, time.UTC)}
		return must(s.CreateLink(ctx, l, sha256.Sum256([]byte(fmt.Sprint(token, v.Survey, v.Number)))))(tb)
	}
	if err := s.RevokeLink(ctx, v.Survey, link("another").ID, "Ben"); err != nil {
		tb.Fatal(err)
	}
	l := link(linkSecret)
	q := must(s.Ask(ctx, survey.Inquiry{ID: survey.NewID(), Link: l.ID, Name: "J. Quill", Text: "Will the light be as bright?"}))(tb)
	must(s.Ask(ctx, survey.Inquiry{ID: survey.NewID(), Link: l.ID, Text: "And when?"}))(tb)
	must(s.Answer(ctx, v.Survey, q.ID, "Yes.", "Ana"))(tb)
	must(s.Decide(ctx, survey.Approval{Survey: v.Survey, Number: v.Number, SHA256: v.SHA256, Decision: survey.Approved, Name: "J. Quill", Consent: "I agree.", Lang: "en", Link: l.ID, Address: "192.0.2.7", Agent: "a phone",
		Signature: "[[[1,2],[3,4]]]"}))(tb)
}

func export(tb testing.TB, s *store.Store, id survey.SurveyID) []byte {
	tb.Helper()
	var out bytes.Buffer
	if err := Write(context.Background(), &out, s, id); err != nil {
		tb.Fatal(err)
	}
	return out.Bytes()
}

func open(b []byte) (*Bundle, error) { return Open(bytes.NewReader(b), int64(len(b))) }

// inOrder takes out of a snapshot what is of one store.
func inOrder(v survey.Snapshot) survey.Snapshot {
	for i := range v.Record.Photos {
		v.Record.Photos[i].Sequence = 0
	}
	return v
}

func TestABundleIsTheSameSurveyElsewhere(t *testing.T) {
	s, _ := newStore(t)
	other, _ := newStore(t)
	house(t, other) // another survey is there already
	id := house(t, s)
	packed := export(t, s, id)
	if again := export(t, s, id); !bytes.Equal(packed, again) {
		t.Error("the same survey makes another bundle")
	}
	b := must(open(packed))(t)
	for range 2 { // the second time changes nothing
		if err := b.Import(t.Context(), other); err != nil {
			t.Fatal(err)
		}
		want, got := inOrder(must(s.Snapshot(t.Context(), id))(t)), inOrder(must(other.Snapshot(t.Context(), id))(t))
		if diff := cmp.Diff(want, got); diff != "" {
			t.Fatal(diff)
		}
	}
	for _, p := range b.Snapshot.Record.Photos {
		for _, sum := range []string{p.SHA256, p.Screen, p.Thumb} {
			mine, theirs := must(s.OpenBlob(sum))(t), must(other.OpenBlob(sum))(t)
			if !bytes.Equal(must(io.ReadAll(mine))(t), must(io.ReadAll(theirs))(t)) {
				t.Errorf("the bytes of %s differ", sum)
			}
			mine.Close()
			theirs.Close()
		}
	}
	if again := export(t, other, id); !bytes.Equal(packed, again) {
		t.Error("exported from there it is another bundle")
	}
	must(other.PutFacts(t.Context(), id, []survey.Fact{{Key: "width", Text: "29'", Version: 1}}))(t)
	if err := b.Import(t.Context(), other); survey.KindOf(err) != survey.Conflict || !strings.Contains(survey.Message(err), "differs") {
		t.Errorf("over a survey that was changed: %v", err)
	}
}

// TestSumsAreThoseOfSha256sum lets the program of that name (GNU coreutils) check a bundle.
func TestSumsAreThoseOfSha256sum(t *testing.T) {
	program, err := exec.LookPath("sha256sum")
	if err != nil {
		t.Skip("no sha256sum here")
	}
	s, _ := newStore(t)
	packed := export(t, s, house(t, s))
	dir := t.TempDir()
	if err := os.CopyFS(dir, must(zip.NewReader(bytes.NewReader(packed), int64(len(packed))))(t)); err != nil {
		t.Fatal(err)
	}
	check := exec.Command(program, "--check", "--strict", sumsName)
	check.Dir = dir
	if out, err := check.CombinedOutput(); err != nil || strings.Count(string(out), ": OK") < 10 {
		t.Errorf("%v: %s", err, out)
	}
}

// rebuilt is a bundle whose files were changed; what comes back as nil is left out.
func rebuilt(tb testing.TB, packed []byte, change func(name string, body []byte) []byte, more ...*zip.FileHeader) []byte {
	tb.Helper()
	from := must(zip.NewReader(bytes.NewReader(packed), int64(len(packed))))(tb)
	var out bytes.Buffer
	to := zip.NewWriter(&out)
	for _, f := range from.File {
		body := change(f.Name, must(fs.ReadFile(from, f.Name))(tb))
		if body == nil {
			continue
		}
		w := must(to.CreateHeader(&zip.FileHeader{Name: f.Name, Method: f.Method}))(tb)
		must(w.Write(body))(tb)
	}
	for _, h := range more {
		must(must(to.CreateHeader(h))(tb).Write([]byte("x")))(tb)
	}
	if err := to.Close(); err != nil {
		tb.Fatal(err)
	}
	return out.Bytes()
}

func keep(_ string, body []byte) []byte { return body }

// summed changes one file and writes its new sum into SHA256SUMS, as a forger would.
func summed(tb testing.TB, packed []byte, name string, change func([]byte) []byte) []byte {
	tb.Helper()
	p := &packer{zip: zip.NewWriter(io.Discard), sums: map[string]string{}}
	return rebuilt(tb, packed, func(file string, body []byte) []byte {
		if file == name {
			body = change(body)
		}
		if file != sumsName {
			if err := p.add(file, bytes.NewReader(body)); err != nil {
				tb.Fatal(err)
			}
			return body
		}
		var text strings.Builder
		for file, sum := range p.sums {
			fmt.Fprintf(&text, "%s  %s\n", sum, file)
		}
		return []byte(text.String())
	})
}

func replaced(old, by string) func([]byte) []byte {
	return func(body []byte) []byte { return bytes.Replace(body, []byte(old), []byte(by), 1) }
}

func TestBundlesThatAreRefused(t *testing.T) {
	s, _ := newStore(t)
	id := house(t, s)
	packed := export(t, s, id)
	screen := must(s.Record(t.Context(), id))(t).Photos[0].Screen
	link := &zip.FileHeader{Name: "blobs/" + strings.Repeat("a", 64)}
	link.SetMode(fs.ModeSymlink | 0o777)
	noise := func(n int) []*zip.FileHeader {
		var list []*zip.FileHeader
		for i := range n {
			list = append(list, &zip.FileHeader{Name: fmt.Sprintf("blobs/%064x", i)})
		}
		return list
	}
	for name, c := range map[string]struct {
		bundle []byte
		says   string
	}{
		"no zip":            {[]byte("PK"), "no zip"},
		"cut short":         {packed[:len(packed)/2], "cut short"},
		"a folder above":    {rebuilt(t, packed, keep, &zip.FileHeader{Name: "../evil"}), "which no bundle has"},
		"a root":            {rebuilt(t, packed, keep, &zip.FileHeader{Name: "/etc/passwd"}), "which no bundle has"},
		"a backslash":       {rebuilt(t, packed, keep, &zip.FileHeader{Name: `photos\..\x`}), "which no bundle has"},
		"a dot-dot inside":  {rebuilt(t, packed, keep, &zip.FileHeader{Name: "photos/001-/../x"}), "which no bundle has"},
		"a symbolic link":   {rebuilt(t, packed, keep, link), "no plain file"},
		"a name twice":      {rebuilt(t, packed, keep, &zip.FileHeader{Name: surveyName}), "two files"},
		"too many files":    {rebuilt(t, packed, keep, noise(maxEntries)...), "more than 2000"},
		"a file too many":   {rebuilt(t, packed, keep, noise(1)...), "does not name"},
		"a bomb":            {rebuilt(t, packed, func(name string, body []byte) []byte { return grown(name, surveyName, body) }), "times its size"},
		"another sum":       {rebuilt(t, packed, func(name string, body []byte) []byte { return flipped(name, blobFile(screen), body) }), "was changed"},
		"a file is missing": {rebuilt(t, packed, func(name string, body []byte) []byte { return without(name, blobFile(screen), body) }), "is missing"},
		"no survey":         {rebuilt(t, packed, func(name string, body []byte) []byte { return without(name, surveyName, body) }), "survey.json is missing"},
		"no sums":           {rebuilt(t, packed, func(name string, body []byte) []byte { return without(name, sumsName, body) }), "SHA256SUMS is missing"},
		"a newer schema":    {summed(t, packed, surveyName, replaced(`"schema": 1`, `"schema": 2`)), "schema 2"},
		"another format":    {summed(t, packed, surveyName, replaced(format, "a recipe")), "not a survey"},
		"an unknown field":  {summed(t, packed, surveyName, replaced(`"schema": 1`, `"schema": 1, "evil": true`)), "evil"},
		"deep JSON":         {summed(t, packed, surveyName, func([]byte) []byte { return bytes.Repeat([]byte("["), 20_000) }), "deeper"},
		"a key twice":       {summed(t, packed, surveyName, replaced(`"schema": 1`, `"schema": 1, "schema": 1`)), "twice"},
		"a key in two ways": {summed(t, packed, surveyName, replaced(`"schema": 1`, `"schema": 1, "SCHEMA": 1`)), "twice"},
		"not UTF-8":         {summed(t, packed, surveyName, replaced("Larkmoor", "Lark\xffmoor")), "UTF-8"},
		"reading direction": {summed(t, packed, surveyName, replaced("=1+1", "\u202e=1+1")), "text of pin 1"},
		"no title":          {summed(t, packed, surveyName, replaced("Larkmoor house", "")), "survey is none"},
		"a pin outside":     {summed(t, packed, surveyName, replaced(`"x": 0.25`, `"x": 1.25`)), "pin 1"},
		"a pin's number":    {summed(t, packed, surveyName, replaced(`"last_pin": 1`, `"last_pin": 0`)), "pin 1"},
		"an unknown kind":   {summed(t, packed, surveyName, replaced(`"kind": "note"`, `"kind": "spell"`)), "pin 1"},
		"a revision's sum":  {summed(t, packed, "revisions/1.json", replaced(`"number":1`, `"number":1 `)), "issued as revision 1"},
		"who decided": {summed(t, packed, surveyName, replaced(`"decision": "approved",
   "name": "J. Quill"`, `"decision": "approved",
   "name": "E. Quill"`)), "decision 1, about revision 1, was changed"},
		"the decision": {summed(t, packed, surveyName, replaced(`"decision": "approved"`, `"decision": "declined",
   "reason": "x"`)), "was changed"},
		"the consent":       {summed(t, packed, surveyName, replaced(`"consent": "I agree."`, `"consent": "I agree to all."`)), "was changed"},
		"a signature":       {summed(t, packed, surveyName, replaced("[[[1,2],[3,4]]]", "[[[1,2],[3,5]]]")), "was changed"},
		"no signature":      {summed(t, packed, surveyName, replaced("[[[1,2],[3,4]]]", "[[[1,2],[3,4000]]]")), "decision 1 is not in order"},
		"a decision's link": {summed(t, packed, surveyName, func(b []byte) []byte { return swapped(b, `"link": "`) }), "not in order"},
		"a decision gone":   {summed(t, packed, surveyName, withoutFirstDecision), "does not follow"},
		"a question":        {summed(t, packed, surveyName, replaced("Will the light be as bright?", "\u202eWill it?")), "question"},
		"a link's secret":   {summed(t, packed, surveyName, replaced(`"expires":`, `"token_sha256": "x", "expires":`)), "token_sha256"},
		"a link's revision": {summed(t, packed, surveyName, replaced(`"revision": 1,
   "by": "Ana"`, `"revision": 9,
   "by": "Ana"`)), "link 1"},
		"where it was kept": {summed(t, packed, surveyName, replaced(`"act": "returned"`, `"act": "archived"`)), "act 3 about where the survey was kept"},
		"deleted":           {summed(t, packed, surveyName, func(b []byte) []byte { return lastReplaced(b, `"act": "archived"`, `"act": "deleted"`) }), "the survey is deleted"},
		"metadata":          {summed(t, packed, blobFile(screen), func(b []byte) []byte { return append(b[:2:2], append([]byte("\xff\xe1\x00\x06Exif"), b[2:]...)...) }), "missing"},
	} {
		_, err := open(c.bundle)
		if survey.KindOf(err) != survey.Invalid || !strings.Contains(survey.Message(err), c.says) {
			t.Errorf("%s: got %v, want a refusal that says %q", name, err, c.says)
		}
	}
}

// swapped makes the last value that stands behind a mark another id.
func swapped(body []byte, mark string) []byte {
	at := bytes.LastIndex(body, []byte(mark)) + len(mark)
	return slices.Concat(body[:at], []byte(survey.NewID()), body[at+36:])
}

// lastReplaced puts another text where one stands last.
func lastReplaced(body []byte, old, by string) []byte {
	at := bytes.LastIndex(body, []byte(old))
	return slices.Concat(body[:at], []byte(by), body[at+len(old):])
}

// withoutFirstDecision takes the first of two decisions out.
func withoutFirstDecision(body []byte) []byte {
	var d document
	if err := json.Unmarshal(body, &d); err != nil {
		return nil
	}
	d.Approvals = d.Approvals[1:]
	out, err := json.Marshal(d)
	if err != nil {
		return nil
	}
	return out
}

// TestABundleHoldsNoWorkingLink: neither the secret nor its sum is in a bundle, and what is imported works nowhere.
func TestABundleHoldsNoWorkingLink(t *testing.T) {
	s, _ := newStore(t)
	other, _ := newStore(t)
	id := house(t, s)
	sum := sha256.Sum256([]byte(fmt.Sprint(linkSecret, id, 2)))
	if must(s.LinkOf(t.Context(), sum))(t).Number != 2 {
		t.Fatal("the link does not work where it was made")
	}
	packed := export(t, s, id)
	text := must(fs.ReadFile(must(zip.NewReader(bytes.NewReader(packed), int64(len(packed))))(t), surveyName))(t)
	if bytes.Contains(text, []byte(linkSecret)) || bytes.Contains(text, fmt.Appendf(nil, "%x", sum)) || !bytes.Contains(text, []byte(`"expires"`)) {
		t.Error("the bundle holds the secret, its sum, or no links")
	}
	if err := must(open(packed))(t).Import(t.Context(), other); err != nil {
		t.Fatal(err)
	}
	if _, err := other.LinkOf(t.Context(), sum); survey.KindOf(err) != survey.NotFound {
		t.Errorf("it works elsewhere: %v", err)
	}
	if got := must(other.Approvals(t.Context(), id))(t); len(got) != 2 {
		t.Errorf("imported decisions: %+v", got)
	}
}

func flipped(name, which string, body []byte) []byte {
	if name == which {
		body = slices.Clone(body)
		body[len(body)/2] ^= 1
	}
	return body
}

func without(name, which string, body []byte) []byte {
	if name == which {
		return nil
	}
	return body
}

func grown(name, which string, body []byte) []byte {
	if name == which {
		return append(slices.Clone(body), bytes.Repeat([]byte(" "), 20<<20)...)
	}
	return body
}

// TestARevisionIsNeverForged changes what was issued, and mends every sum that the change breaks but those that are printed on paper: each is found, since contents
// and rows say the same thing and follow each other.
func TestARevisionIsNeverForged(t *testing.T) {
	s, _ := newStore(t)
	packed := export(t, s, house(t, s))
	rng := rand.New(rand.NewPCG(1, 2))
	names := must(open(packed))(t).sums
	var issued []string
	for name := range names {
		if name != surveyName {
			issued = append(issued, name)
		}
	}
	slices.Sort(issued)
	for i := range 200 {
		name := issued[rng.IntN(len(issued))]
		at, bit := rng.IntN(1<<20), byte(1)<<rng.IntN(8)
		forged := summed(t, packed, name, func(body []byte) []byte {
			body = slices.Clone(body)
			body[at%len(body)] ^= bit
			return body
		})
		if _, err := open(forged); err == nil {
			t.Errorf("change %d, a bit of %s, was not found", i, name)
		}
	}
}

// TestNothingOfARefusedBundleStays: neither a survey nor a file.
func TestNothingOfARefusedBundleStays(t *testing.T) {
	s, _ := newStore(t)
	other, dir := newStore(t)
	id := house(t, s)
	b := must(open(export(t, s, id)))(t)
	b.Snapshot.History = nil // the store refuses it last of all
	if err := b.Import(t.Context(), other); err == nil {
		t.Fatal("it was taken")
	}
	if list := must(other.Surveys(t.Context()))(t); len(list) != 0 {
		t.Errorf("surveys: %+v", list)
	}
	if temps := must(filepath.Glob(filepath.Join(dir, "temp", "*")))(t); len(temps) != 0 {
		t.Errorf("left in temp: %v", temps)
	}
}

func FuzzOpen(f *testing.F) {
	s, _ := newStore(f)
	f.Add(export(f, s, house(f, s)))
	f.Add([]byte("PK\x05\x06" + strings.Repeat("\x00", 18)))
	f.Fuzz(func(t *testing.T, packed []byte) {
		b, err := open(packed)
		if err != nil {
			if survey.KindOf(err) != survey.Invalid {
				t.Errorf("refused with an error that nobody is shown: %v", err)
			}
			return
		}
		if _, err := survey.ParseID(string(b.Snapshot.Record.Survey.ID)); err != nil {
			t.Error("a survey without an id was let through")
		}
	})
}
