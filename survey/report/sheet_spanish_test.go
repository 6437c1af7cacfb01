package report

import (
	"strconv"
	"testing"

	"undercroft/calc/words"
)

// TestSheetsInSpanish holds every sheet to the same rules with the longer words of Spanish: nothing lies on anything, nothing leaves the frame, and the
// figures are those of the English sheets.
func TestSheetsInSpanish(t *testing.T) {
	for _, s := range samples(t) {
		t.Run(s.name, func(t *testing.T) {
			s.job.voice = voice{words.Spanish}
			sheets, err := sheetSet(s.job, s.in, s.plan)
			if err != nil {
				t.Fatal(err)
			}
			for i, d := range sheets {
				checkDrawing(t, "es-"+s.name+"-"+strconv.Itoa(i+1), d)
				keepDrawing(t, "es-"+s.name+"-"+strconv.Itoa(i+1), d)
			}
			named(t, s, sheets)
		})
	}
}
