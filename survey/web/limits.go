package web

import (
	"fmt"
	"time"

	"undercroft/annotate"
	"undercroft/survey"
	"undercroft/survey/store"
)

// Limit is one thing that the server does not let grow, for whoever runs it.
type Limit struct{ Name, Value string }

// Limits lists what the server holds its clients to, made of the values that the code itself uses.
func Limits() []Limit {
	return []Limit{
		{"photo", size(survey.MaxPhotoBytes)},
		{"photo, pixels", fmt.Sprintf("%d million, %d on a side", annotate.MaxPixels/1_000_000, annotate.MaxSide)},
		{"photos of a survey", fmt.Sprintf("%d, together %s", survey.MaxPhotos, size(survey.MaxSurveyBytes))},
		{"photo in pieces", fmt.Sprintf("%s a piece, %d pieces", size(store.PieceBytes), store.MaxPieces)},
		{"photos not yet whole", fmt.Sprintf("%d a survey, %d in all, together %s, each for %d days after its last piece",
			store.MaxUnfinishedOfSurvey, store.MaxUnfinished, size(store.MaxUnfinishedBytes), store.UnfinishedLife/(24*time.Hour))},
		{"photos opened at once", fmt.Sprintf("%d, and %d waiting for at most %s; then 503", readersAtOnce, readersWaiting, turnLimit)},
		{"making one photo", photoLimit.String()},
		{"picture made by a browser", size(maxPreviewBytes)},
		{"form or document", size(maxForm)},
		{"photos in one form", size(maxMany)},
		{"name and password", size(maxSignIn)},
		{"the same with a form to be sent on", fmt.Sprintf("%s, %d at once, %s for one", size(maxCarried), formsAtOnce, formTime)},
		{"form by a homeowner's link", size(maxShared)},
		{"caption", fmt.Sprintf("%d characters", maxCaption)},
		{"speed of a body", fmt.Sprintf("%s in %s, then 408", size(bodyStretch), bodyStretchTime)},
		{"one request with photos", maxUploadTime.String()},
		{"headers", fmt.Sprintf("%s, %s to arrive", size(maxHeader), headerTime)},
		{"answer", fmt.Sprintf("%s, files of any length while they are taken", answerTime)},
		{"connection without a request", idleTime.String()},
		{"tries to sign in by one name", allowance(triesByName, everyByName)},
		{"tries to sign in from one address", allowance(triesByAddress, everyByAddress)},
		{"passwords checked at once", fmt.Sprint(hashesAtOnce)},
		{"calls by one person", allowance(callBurst, callEvery)},
		{"pieces by one person", allowance(pieceBurst, pieceEvery)},
		{"new photos by one person", allowance(photoBurst, photoEvery)},
		{"pages by one link or address", allowance(sharedBurst, sharedEvery)},
		{"pictures by one link or address", allowance(pictureBurst, pictureEvery)},
		{"reports painted at once", fmt.Sprint(paintersAtOnce)},
		{"names, addresses and links counted", fmt.Sprintf("the last %d of each", mostKeys)},
	}
}

// size says a number of bytes.
func size(bytes int64) string {
	for _, unit := range []struct {
		name  string
		shift int
	}{{"GiB", 30}, {"MiB", 20}, {"KiB", 10}} {
		if bytes >= 1<<unit.shift && bytes%(1<<unit.shift) == 0 {
			return fmt.Sprintf("%d %s", bytes>>unit.shift, unit.name)
		}
	}
	return fmt.Sprintf("%d bytes", bytes)
}

// allowance says a throttle.
func allowance(burst int, every time.Duration) string {
	return fmt.Sprintf("%d in a row, then one each %s; then 429", burst, every)
}
