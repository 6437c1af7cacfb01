package main

import (
	"context"
	"fmt"
	"strings"

	"undercroft/survey"
	"undercroft/survey/store"
)

// findSurvey finds the one survey with this id, or whose name contains the text in any case. None or several are errors that say
// what there is.
func findSurvey(ctx context.Context, s *store.Store, name string) (survey.SurveyID, error) {
	all, err := s.Surveys(ctx)
	if err != nil {
		return "", fmt.Errorf("list the surveys: %w", err)
	}
	var found []survey.Summary
	for _, v := range all {
		if string(v.ID) == name {
			return v.ID, nil
		}
		if strings.Contains(strings.ToLower(v.Title), strings.ToLower(name)) {
			found = append(found, v)
		}
	}
	switch len(found) {
	case 1:
		return found[0].ID, nil
	case 0:
		return "", fmt.Errorf("no survey is called %q; there are: %s", name, titles(all))
	}
	return "", fmt.Errorf("%q fits %d surveys: %s", name, len(found), titles(found))
}

func titles(list []survey.Summary) string {
	if len(list) == 0 {
		return "none"
	}
	var names []string
	for _, v := range list {
		names = append(names, fmt.Sprintf("%s (%s)", v.Title, v.ID))
	}
	return strings.Join(names, ", ")
}
