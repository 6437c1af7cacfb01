package survey

import "time"

// FilingAct is what was done about where a survey is kept.
type FilingAct string

// The acts: put into the archive, deleted, and taken back from either.
const (
	Archived FilingAct = "archived"
	Deleted  FilingAct = "deleted"
	Returned FilingAct = "returned"
)

// DeletedDays is how many days a deleted survey can be taken back, counted from the restore when a backup brought it. After that it is erased.
const DeletedDays = 30

// Filing is one act about where a survey is kept, the newest of which holds. Seq counts a survey's acts from 1. By is empty when nobody was signed in. Nothing of an act ever
// changes.
type Filing struct {
	Survey SurveyID
	Seq    int
	Act    FilingAct
	By     string
	At     time.Time
}

// ErasedOn is the moment from which a deleted survey is erased; the zero time for one that is not deleted. Restored is when the data came from a backup, zero when they did
// not: the days count from the later of both, since before the restore nobody could take the survey back.
func (f Filing) ErasedOn(restored time.Time) time.Time {
	if f.Act != Deleted {
		return time.Time{}
	}
	from := f.At
	if restored.After(from) {
		from = restored
	}
	return from.AddDate(0, 0, DeletedDays)
}

// CheckFiling is nil when an act may follow the newest one, the zero Filing when there was none; again tells that it holds already, so that nothing is to be done. A deleted
// survey is not there for any act but taking it back: NotFound.
func CheckFiling(now Filing, act FilingAct) (again bool, err error) {
	switch act {
	case Archived, Deleted, Returned:
	default:
		return false, Errorf(Invalid, "A survey is archived, deleted or taken back.")
	}
	switch {
	case now.Act == act, act == Returned && now.Act == "":
		return true, nil
	case now.Act == Deleted && act != Returned:
		return false, Errorf(NotFound, "There is no such survey.")
	}
	return false, nil
}
