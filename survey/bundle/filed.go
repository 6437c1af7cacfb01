package bundle

import (
	"time"

	"undercroft/survey"
)

// filingDoc is an act about where the survey was kept.
type filingDoc struct {
	Survey survey.SurveyID  `json:"-"`
	Seq    int              `json:"seq"`
	Act    survey.FilingAct `json:"act"`
	By     string           `json:"by,omitempty"`
	At     time.Time        `json:"at"`
}

// checkFiled checks that each act could follow the one before it. A deleted survey is not taken anywhere.
func checkFiled(d document, _ map[string]bool) error {
	var now survey.Filing
	for i, f := range d.Filings {
		again, err := survey.CheckFiling(now, f.Act)
		if err != nil || again || f.Seq != i+1 || unclean(f.By) || f.At.IsZero() {
			return refuse("act %d about where the survey was kept is not in order", i+1)
		}
		now = survey.Filing(f)
	}
	if now.Act == survey.Deleted {
		return refuse("the survey is deleted")
	}
	return nil
}
