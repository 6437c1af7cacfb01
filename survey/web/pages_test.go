package web

import (
	"reflect"
	"strings"
	"testing"
	"time"

	"github.com/jba/templatecheck"

	"undercroft/templates"
)

// pageData is an empty value of each page's struct. A new page is added here.
func pageData() map[string]any {
	return map[string]any{
		"surveys": surveysPage{}, "signin": signInPage{}, "account": accountPage{}, "newsurvey": newSurveyPage{}, "walk": walkPage{}, "deck": deckPage{}, "failure": failurePage{}, "photos": photosPage{}, "photo": photoPage{},
		"remove": removePage{}, "plan": planPage{}, "sheets": sheetsPage{}, "ceiling": ceilingPage{}, "report": reportPage{}, "revisions": revisionsPage{}, "offer": offerPage{}, "link": linkPage{}, "filing": filingPage{}, "erase": erasePage{}, "erased": erasedPage{}, "scope": scopePage{}, "settings": settingsPage{}, "cover": coverPage{}, "leave": leavePage{}, "finish": finishPage{}, "signoff": signOffPage{}, "review": reviewPage{}, "questions": questionsPage{}, "verified": verifiedPage{}, "history": historyPage{}, "photoshell": photoPage{}, "waiting": waitingPage{},
	}
}

// fill puts something everywhere in a value: texts, numbers, pointers and a few elements in every list, so that each branch that a value
// opens is executed. truth is what every bool gets.
func fill(v reflect.Value, truth bool, depth int) {
	if depth > 12 || !v.CanSet() && v.Kind() != reflect.Struct {
		return
	}
	if v.Type() == reflect.TypeFor[time.Time]() {
		if !v.CanSet() { // in an unexported field, which no template reads
			return
		}
		v.Set(reflect.ValueOf(time.Date(2026, 5, 31, 9, 42, 0, 0, time.UTC)))
		return
	}
	switch v.Kind() {
	case reflect.String:
		v.SetString("words")
	case reflect.Bool:
		v.SetBool(truth)
	case reflect.Int, reflect.Int64, reflect.Int32, reflect.Int16, reflect.Int8:
		v.SetInt(2)
	case reflect.Uint, reflect.Uint64, reflect.Uint32, reflect.Uint16, reflect.Uint8:
		v.SetUint(2)
	case reflect.Float64, reflect.Float32:
		v.SetFloat(2.5)
	case reflect.Pointer:
		v.Set(reflect.New(v.Type().Elem()))
		fill(v.Elem(), truth, depth+1)
	case reflect.Slice:
		n := 2
		if v.Type().Elem().Kind() == reflect.Float64 {
			n = 4 // the ends of a line
		}
		v.Set(reflect.MakeSlice(v.Type(), n, n))
		for i := range n {
			fill(v.Index(i), truth, depth+1)
		}
	case reflect.Array:
		for i := range v.Len() {
			fill(v.Index(i), truth, depth+1)
		}
	case reflect.Map:
		key, element := reflect.New(v.Type().Key()).Elem(), reflect.New(v.Type().Elem()).Elem()
		fill(key, truth, depth+1)
		fill(element, truth, depth+1)
		v.Set(reflect.MakeMap(v.Type()))
		v.SetMapIndex(key, element)
	case reflect.Struct:
		for i := range v.NumField() {
			fill(v.Field(i), truth, depth+1)
		}
	}
}

// full is a page's struct with everything in it.
func full(page any, truth bool) any {
	v := reflect.New(reflect.TypeOf(page)).Elem()
	fill(v, truth, 0)
	return v.Interface()
}

// TestEveryPageFitsItsStructAndRuns checks the templates of each page against its struct, and executes them empty, and full with every
// bool true and with every bool false.
func TestEveryPageFitsItsStructAndRuns(t *testing.T) {
	set, err := templates.Load()
	if err != nil {
		t.Fatal(err)
	}
	data := pageData()
	for _, page := range set.Pages() {
		t.Run(page, func(t *testing.T) {
			empty, ok := data[page]
			if !ok {
				t.Fatal("pageData lacks this page")
			}
			if err := templatecheck.CheckHTML(set.Template(page), empty); err != nil {
				t.Error(err)
			}
			for name, value := range map[string]any{"empty": empty, "full": full(empty, true), "full, all false": full(empty, false)} {
				body, err := set.Render(page, value)
				if err != nil {
					t.Errorf("%s: %v", name, err)
				}
				for _, bad := range []string{"<no value>", "ZgotmplZ", " style=", " onclick", "<style", "<script>", "%!"} {
					if strings.Contains(string(body), bad) {
						t.Errorf("%s: the page contains %q", name, bad)
					}
				}
				if name == "full" && !strings.Contains(string(body), "<title>words · words · Undercroft</title>") {
					t.Error("the full page is not full")
				}
			}
		})
	}
}
