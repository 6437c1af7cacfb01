package report

import (
	"bytes"
	"fmt"
	"image"
	stddraw "image/draw"
	"image/jpeg"
	"io"

	"undercroft/survey"
	"undercroft/survey/report/draw"
)

// pinnedQuality is that of a JPEG with pins drawn into it: its letters have to stay sharp.
const pinnedQuality = 88

// pinnedWidth is how wide a photo is taken to be, in points, when its pins are drawn into it: they come out as large as on a page of that width.
const pinnedWidth = 640

// WritePinned writes a photo with its pins and the computed ceiling drawn into it, as a JPEG without metadata, to be sent to somebody who has nothing but a phone. picture is the photo's
// upright derivative, made by this program. NotFound when the survey has no such photo.
func WritePinned(w io.Writer, r survey.Record, c survey.Ceiling, id survey.PhotoID, picture []byte) error {
	m := Build(r, c, WithinReport(), r.ChangedAt)
	for _, sheet := range m.Photos {
		if sheet.ID != id {
			continue
		}
		photo, err := jpeg.Decode(bytes.NewReader(picture))
		if err != nil {
			return fmt.Errorf("open the picture of photo %d: %w", sheet.Number, err)
		}
		img := image.NewRGBA(photo.Bounds())
		stddraw.Draw(img, img.Bounds(), photo, photo.Bounds().Min, stddraw.Src)
		if over := photoOver(sheet, pinnedWidth); over != nil {
			over.Paint(draw.NewRaster(img, over.View))
		}
		if err := jpeg.Encode(w, img, &jpeg.Options{Quality: pinnedQuality}); err != nil {
			return fmt.Errorf("write the picture of photo %d: %w", sheet.Number, err)
		}
		return nil
	}
	return survey.Errorf(survey.NotFound, "There is no such photo.")
}
