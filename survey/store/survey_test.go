package store

import (
	"cmp"
	"reflect"
	"testing"
	"time"

	gocmp "github.com/google/go-cmp/cmp"

	"undercroft/survey"
)

func TestCreateSurvey(t *testing.T) {
	s := newStore(t)
	sent := sampleSurvey()
	sent.Version = 7 // not the client's to say
	got := must(s.CreateSurvey(t.Context(), sent))(t)
	want := sent
	want.Version = 1
	want.CreatedAt = time.Date(2026, 5, 30, 9, 0, 1, 123_000_000, time.UTC)
	want.UpdatedAt = want.CreatedAt
	if got != want {
		t.Errorf("got %+v, want %+v", got, want)
	}
	if again := must(s.CreateSurvey(t.Context(), sent))(t); again != want {
		t.Errorf("repeated: got %+v, want %+v", again, want)
	}
	if read := must(s.Survey(t.Context(), sent.ID))(t); read != want {
		t.Errorf("read: got %+v, want %+v", read, want)
	}
	other := sent
	other.Title = "14 Elm Street"
	_, err := s.CreateSurvey(t.Context(), other)
	if e := wantKind(t, err, survey.Conflict); e.Current != want {
		t.Errorf("current is %+v, want %+v", e.Current, want)
	}
	if got := historyOf(t, s, string(sent.ID)); !gocmp.Equal(got, []string{"create 1"}) {
		t.Errorf("history %q", got)
	}
}

func TestSurveyIsRefused(t *testing.T) {
	s := newStore(t)
	noTitle, badID := sampleSurvey(), sampleSurvey()
	noTitle.Title = ""
	badID.ID = "../../etc"
	for _, v := range []survey.Survey{noTitle, badID} {
		_, err := s.CreateSurvey(t.Context(), v)
		wantKind(t, err, survey.Invalid)
	}
	_, err := s.UpdateSurvey(t.Context(), noTitle)
	wantKind(t, err, survey.Invalid)
	_, err = s.UpdateSurvey(t.Context(), sampleSurvey())
	wantKind(t, err, survey.NotFound)
	_, err = s.Survey(t.Context(), sampleSurvey().ID)
	wantKind(t, err, survey.NotFound)
	_, err = s.Record(t.Context(), sampleSurvey().ID)
	wantKind(t, err, survey.NotFound)
}

func TestUpdateSurvey(t *testing.T) {
	s := newStore(t)
	first := addSurvey(t, s)
	mine := first
	mine.Notes, mine.CreatedAt = "gate code 1234", time.Time{}
	second := must(s.UpdateSurvey(t.Context(), mine))(t)
	if second.Version != 2 || second.Notes != mine.Notes || !second.CreatedAt.Equal(first.CreatedAt) || !second.UpdatedAt.After(first.UpdatedAt) {
		t.Errorf("got %+v", second)
	}
	for _, version := range []int{1, 2} { // the answer was lost; the same form is sent again later
		mine.Version = version
		if again := must(s.UpdateSurvey(t.Context(), mine))(t); again != second {
			t.Errorf("repeated with version %d: got %+v, want %+v", version, again, second)
		}
	}
	for _, version := range []int{0, 1, 3} {
		stale := first
		stale.Version, stale.Title = version, "another name"
		_, err := s.UpdateSurvey(t.Context(), stale)
		if e := wantKind(t, err, survey.Conflict); e.Current != second {
			t.Errorf("version %d: current is %+v, want %+v", version, e.Current, second)
		}
	}
	if got := historyOf(t, s, string(first.ID)); !gocmp.Equal(got, []string{"create 1", "update 2"}) {
		t.Errorf("history %q", got)
	}
}

// TestSurveys orders by the store's own sequence although the clock is set back between two changes.
func TestSurveys(t *testing.T) {
	c := newClock()
	s := must(Open(t.Context(), Config{Dir: t.TempDir(), Now: c.Now}))(t)
	defer s.Close()
	if got := must(s.Surveys(t.Context()))(t); len(got) != 0 {
		t.Errorf("an empty store lists %+v", got)
	}
	a, b := addSurvey(t, s), addSurvey(t, s)
	photo := addTestPhoto(t, s, a.ID, 1)
	gone := addTestPhoto(t, s, a.ID, 10)
	addTestPin(t, s, photo)
	addTestPin(t, s, gone)
	if err := s.DeletePhoto(t.Context(), a.ID, gone.ID, 1); err != nil {
		t.Fatal(err)
	}
	c.move(-24 * time.Hour)
	must(s.PutFacts(t.Context(), b.ID, []survey.Fact{{Key: "width", Text: "16'"}, {Key: "projection", Text: "12'"}}))(t)
	list := must(s.Surveys(t.Context()))(t)
	if len(list) != 2 || list[0].ID != b.ID || list[1].ID != a.ID {
		t.Fatalf("got %+v, want %s before %s", list, b.ID, a.ID)
	}
	want := []survey.Summary{
		{Survey: b, ChangedAt: list[0].ChangedAt},
		{Survey: a, Photos: 1, Pins: 1, ChangedAt: list[1].ChangedAt},
	}
	if diff := gocmp.Diff(want, list); diff != "" {
		t.Error(diff)
	}
	if !list[0].ChangedAt.Before(b.CreatedAt) {
		t.Errorf("changed at %v: the clock was set back a day", list[0].ChangedAt)
	}
	addTestPin(t, s, photo)
	if list := must(s.Surveys(t.Context()))(t); list[0].ID != a.ID {
		t.Error("a new pin does not bring its survey to the top")
	}
}

// TestClockSetBack writes after the clock was set back: nothing is refused and the order of arrival stays.
func TestClockSetBack(t *testing.T) {
	c := newClock()
	s := must(Open(t.Context(), Config{Dir: t.TempDir(), Now: c.Now}))(t)
	defer s.Close()
	v := addSurvey(t, s)
	first := addTestPhoto(t, s, v.ID, 1)
	pin := addTestPin(t, s, first)
	c.move(-time.Hour)
	second := addTestPhoto(t, s, v.ID, 20)
	pin.Note = "changed"
	pin = must(s.PutPin(t.Context(), pin))(t)
	if pin.Version != 2 || !pin.UpdatedAt.Before(pin.CreatedAt) {
		t.Errorf("got %+v", pin)
	}
	if second.Sequence <= first.Sequence || second.Number != 2 || !second.AddedAt.Before(first.AddedAt) {
		t.Errorf("got sequence %d after %d, number %d", second.Sequence, first.Sequence, second.Number)
	}
	if got := must(s.Record(t.Context(), v.ID))(t).Photos; got[0].ID != first.ID || got[1].ID != second.ID {
		t.Error("the order of the photos follows the clock")
	}
}

// TestRecordKeepsEveryField fills every field that there is with something and reads it back, so that a new field that is not stored is noticed.
func TestRecordKeepsEveryField(t *testing.T) {
	s := newStore(t)
	v := sampleSurvey()
	fill := func(target any) {
		value := reflect.ValueOf(target).Elem()
		for i := range value.NumField() {
			if field := value.Field(i); field.IsZero() {
				fillField(t, field, value.Type().Field(i).Name)
			}
		}
	}
	fill(&v)
	v = must(s.CreateSurvey(t.Context(), v))(t)
	p := samplePhoto(v.ID, putBlob(t, s, content(1, 50)), putBlob(t, s, content(2, 50)), putBlob(t, s, content(3, 50)))
	fill(&p)
	fill(&p.Meta)
	p = must(s.AddPhoto(t.Context(), p))(t)
	pin := samplePin(p)
	fill(&pin)
	pin.Version = 0
	pin = must(s.PutPin(t.Context(), pin))(t)
	facts := must(s.PutFacts(t.Context(), v.ID, []survey.Fact{{Key: "width", Text: " 16' "}}))(t)
	want := survey.Record{Survey: v, Photos: []survey.Photo{p}, Pins: []survey.Pin{pin}, Facts: map[string]survey.Fact{"width": facts[0]}, ChangedAt: facts[0].UpdatedAt}
	if diff := gocmp.Diff(want, must(s.Record(t.Context(), v.ID))(t)); diff != "" {
		t.Error(diff)
	}
	for _, row := range []any{v, p, p.Meta, pin, facts[0]} {
		for i := range reflect.TypeOf(row).NumField() {
			if reflect.ValueOf(row).Field(i).IsZero() {
				t.Errorf("%T.%s is empty: it was not stored", row, reflect.TypeOf(row).Field(i).Name)
			}
		}
	}
}

// fillField gives a field some value that is not its zero.
func fillField(t *testing.T, field reflect.Value, name string) {
	t.Helper()
	switch field.Kind() {
	case reflect.String:
		field.SetString(cmp.Or(map[string]string{"VisitDate": "2026-05-30"}[name], "some "+name))
	case reflect.Int, reflect.Int64:
		field.SetInt(3)
	case reflect.Float64:
		field.SetFloat(0.1 + 0.2) // needs all 17 digits
	case reflect.Bool:
		field.SetBool(true)
	case reflect.Pointer:
		field.Set(reflect.New(field.Type().Elem()))
		fillField(t, field.Elem(), name)
	case reflect.Slice:
		field.Set(reflect.MakeSlice(field.Type(), 1, 1))
		fillField(t, field.Index(0), name)
	case reflect.Struct:
		if field.Type() == reflect.TypeFor[time.Time]() {
			return // given by the store
		}
		for i := range field.NumField() {
			fillField(t, field.Field(i), field.Type().Field(i).Name)
		}
	default:
		t.Fatalf("cannot fill %s of kind %s", name, field.Kind())
	}
}
