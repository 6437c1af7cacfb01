package web

import (
	"fmt"
	"time"

	"undercroft/survey"
)

// stateLabel is what a state is called above the list.
func stateLabel(state survey.State) string {
	return map[survey.State]string{
		survey.StateDraft: "On site", survey.StateReady: "Ready", survey.StateIssued: "With homeowner", survey.StateApproved: "Approved", survey.StateChanged: "Changed",
		survey.StateDeclined: "Declined", survey.StateFinished: "Finished", survey.StateArchived: "Archive", survey.StateDeleted: "Deleted", stateDue: "Kept long enough",
	}[state]
}

// standingState says how far a survey has come, with its sign, and what more there is to know of that. Restored is when the data came from a backup, if they did.
func standingState(v survey.Standing, r survey.Record, facts survey.FactSet, restored, now time.Time) (stateView, string) {
	switch v.State() {
	case survey.StateArchived:
		job, _ := jobState(v, r, facts)
		return stateView{weightNote, "archived"}, job.Text
	case survey.StateDeleted:
		erased := survey.Filing{Act: v.Filed, At: v.FiledAt}.ErasedOn(restored).In(now.Location())
		return stateView{weightWarn, "deleted"}, "erased on " + erased.Format("2\u00a0Jan\u00a02006") + byWhom(v.FiledBy, "; deleted by ")
	}
	return jobState(v, r, facts)
}

// jobState is standingState without where the survey is kept.
func jobState(v survey.Standing, r survey.Record, facts survey.FactSet) (state stateView, detail string) {
	newest := fmt.Sprintf("revision %d", v.Newest)
	switch v.Job() {
	case survey.StateReady:
		return stateView{weightFine, "ready for the crew"}, "nothing issued yet"
	case survey.StateIssued:
		if v.ChangedSince() {
			detail = "changed since it was issued"
		}
		return stateView{weightNote, newest + " issued"}, detail
	case survey.StateApproved:
		return stateView{weightFine, newest + " approved"}, ""
	case survey.StateChanged:
		return stateView{weightWarn, "changed since approval"}, fmt.Sprintf("revision %d approved", v.Approved)
	case survey.StateDeclined:
		return stateView{weightWarn, newest + " declined"}, ""
	case survey.StateFinished:
		if v.ChangedSince() {
			return stateView{weightWarn, "finished"}, "changed after finishing"
		}
		if v.SignedOff {
			detail = "signed off"
		}
		return stateView{weightFine, "finished"}, detail
	}
	if v.Stopped {
		detail = newest + " issued, something stops it"
	}
	return draftState(r, facts), detail
}

// draftState says what comes next for a survey that is being made.
func draftState(r survey.Record, facts survey.FactSet) stateView {
	switch {
	case !facts.Get("width").Known() || !facts.Get("projection").Known():
		return stateView{weightNote, "deck to be measured"}
	case len(r.Photos) == 0:
		return stateView{weightNote, "photos to be taken"}
	case len(r.Pins) == 0:
		return stateView{weightNote, "pins to be placed"}
	}
	return neededState(facts)
}

// waitViews say what waits for whom.
func waitViews(v survey.Standing) []waitView {
	var list []waitView
	for _, w := range v.Waits() {
		list = append(list, waitView{string(w.For), waitWords(w)})
	}
	return list
}

// waitWords say what is waited for.
func waitWords(w survey.Wait) string {
	switch w.What {
	case survey.WaitFinishSurvey:
		return "finish the survey"
	case survey.WaitSettle:
		return "settle what stops it"
	case survey.WaitAnswerCrew:
		return "answer " + countOf(w.Count, "question of the crew", "questions of the crew")
	case survey.WaitReview:
		return "review before arriving"
	case survey.WaitDecide:
		return "approve or decline"
	case survey.WaitSignOff:
		return "sign the work off"
	case survey.WaitAnswer:
		return "answer " + countOf(w.Count, "question of the homeowner", "questions of the homeowner")
	case survey.WaitSend:
		return "send a link, or have it signed"
	case survey.WaitReissue:
		return "issue a new revision"
	case survey.WaitFollowUp:
		return "call the homeowner"
	}
	return ""
}

// byWhom is a name with what leads to it, nothing for no name.
func byWhom(name, lead string) string {
	if name == "" {
		return ""
	}
	return lead + name
}
