package web

import (
	"fmt"
	"sync"

	"github.com/gin-gonic/gin"

	"undercroft/survey"
)

// outcomeView is what became of the photos of one form: how many were added, which of these cannot be shown, and which were not
// taken in.
type outcomeView struct {
	Added            int
	Unshown, Refused []photoOutcome
}

// photoOutcome is a photo by its name and why it is not shown or not taken in.
type photoOutcome struct{ Name, Why string }

// AddedText says how many were added.
func (o outcomeView) AddedText() string {
	if o.Added == 1 {
		return "1 photo is saved."
	}
	return fmt.Sprintf("%d photos are saved.", o.Added)
}

func (o outcomeView) empty() bool { return o.Added == 0 && len(o.Refused) == 0 }

// maxOutcomes bounds the outcomes that are kept for pages yet to be opened.
const maxOutcomes = 100

// outcomes keeps the outcomes of the latest forms until their page is shown, and again when it is reloaded. They are lost with the process;
// the photos themselves say then what is wrong with them.
type outcomes struct {
	mu    sync.Mutex
	byKey map[string]keptOutcome
	order []string
}

type keptOutcome struct {
	survey survey.SurveyID
	view   outcomeView
}

func newOutcomes() *outcomes { return &outcomes{byKey: map[string]keptOutcome{}} }

// put keeps an outcome and gives the key to find it by.
func (o *outcomes) put(in survey.SurveyID, view outcomeView) string {
	o.mu.Lock()
	defer o.mu.Unlock()
	key := survey.NewID()
	o.byKey[key] = keptOutcome{in, view}
	o.order = append(o.order, key)
	if len(o.order) > maxOutcomes {
		delete(o.byKey, o.order[0])
		o.order = o.order[1:]
	}
	return key
}

// outcome is what the photos page shows of the form that was just sent, named by the query's "sent"; empty when there is none.
func (s *Server) outcome(c *gin.Context, in survey.SurveyID) outcomeView {
	s.outcomes.mu.Lock()
	defer s.outcomes.mu.Unlock()
	if kept := s.outcomes.byKey[c.Query("sent")]; kept.survey == in {
		return kept.view
	}
	return outcomeView{}
}
