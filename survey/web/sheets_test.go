package web

import (
	"net/http"
	"strings"
	"testing"
)

// The sheets are there once the ceiling can be computed, each a drawing with its title; before, the page says where to look.
func TestSheetsPage(t *testing.T) {
	w := newSite(t)
	v := w.survey("Larkmoor house")
	path := surveyPath(v.ID) + "/sheets"
	doc := w.get(path).wants(http.StatusOK).page()
	if doc.Find(".dsheet").Length() != 0 || doc.Find(`main a[href$="/plan"]`).Length() == 0 {
		t.Error("an empty survey has sheets, or its page does not lead to the plan")
	}
	w.facts(v.ID, map[string]string{"width": "340", "projection": "168", "joist.direction": "y", "joist.spacing": "16", "built_before_1978": "no", "edge.0.surface": "brick"})
	doc = w.get(path).wants(http.StatusOK).page()
	if n := doc.Find(".dsheet svg[role=img]").Length(); n < 5 {
		t.Errorf("got %d sheets, want plan, section, furring, cutting, channel and gutter at least", n)
	}
	text := doc.Find(".dsheet").Text()
	for _, want := range []string{"CEILING PLAN", "SECTION", "VERIFY ON SITE", "28′\u00a04″", "BRICK"} {
		if !strings.Contains(text, want) {
			t.Errorf("the sheets lack %q", want)
		}
	}
	if w.get(surveyPath(v.ID)+"/plan").page().Find(`a[href="`+path+`"]`).Length() != 1 {
		t.Error("the plan page does not lead to the sheets")
	}
}
