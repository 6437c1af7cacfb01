package backup

import (
	"context"
	"fmt"
	"os"
	"os/exec"
	"path/filepath"
	"strconv"
	"strings"
	"testing"
	"time"

	"undercroft/survey"
	"undercroft/survey/store"
)

// benchPhoto is the size of a photo of a phone with 12 megapixels.
const benchPhoto = 3_500_000

// BenchmarkBackup makes a folder of BACKUP_BENCH_MB megabytes (64 when it is not set) and reports how long a first backup, one with nothing new, a restore and a check take,
// each as a multiple of what cp -r and sync take for the same folder.
func BenchmarkBackup(b *testing.B) {
	megabytes := 64
	if text := os.Getenv("BACKUP_BENCH_MB"); text != "" {
		megabytes = must(strconv.Atoi(text))(b)
	}
	dir := benchFolder(b, megabytes<<20/benchPhoto+1)
	for b.Loop() {
		home := b.TempDir()
		target := filepath.Join(home, "backups")
		measure := func(what string, do func()) time.Duration {
			began := time.Now()
			do()
			took := time.Since(began)
			b.Logf("%s: %.1f s", what, took.Seconds())
			return took
		}
		plain := measure("cp -r and sync", func() {
			if out, err := exec.Command("sh", "-c", `cp -r "$0" "$1" && sync -f "$1"`, dir, filepath.Join(home, "plain")).CombinedOutput(); err != nil {
				b.Fatal(err, string(out))
			}
		})
		back := func() { must(Make(b.Context(), Config{Data: dir, Target: target, Keep: 14, Now: time.Now}))(b) }
		for _, step := range []struct {
			name string
			do   func()
		}{
			{"first backup", back},
			{"backup with nothing new", back},
			{"restore", func() {
				must(Restore(b.Context(), Restoring{Target: target, Data: filepath.Join(home, "new"), Now: time.Now}))(b)
			}},
			{"check", func() {
				a := must(store.OpenAside(b.Context(), dir))(b)
				defer a.Close()
				if c := must(a.Check(b.Context(), time.Now(), nil))(b); len(c.Findings)+len(c.Orphans) > 0 {
					b.Errorf("%+v", c)
				}
			}},
		} {
			took := measure(step.name, step.do)
			b.ReportMetric(float64(took)/float64(plain), fmt.Sprintf("x-cp(%s)", strings.ReplaceAll(step.name, " ", "-")))
		}
	}
}

// benchFolder is a closed data folder with so many photos, 200 in a survey, each with a small picture and four pins.
func benchFolder(b *testing.B, photos int) string {
	dir := filepath.Join(b.TempDir(), "data")
	s := must(store.Open(b.Context(), store.Config{Dir: dir, Now: time.Now}))(b)
	defer s.Close()
	var h house
	for n := range photos {
		if n%200 == 0 {
			h = house{s, dir, must(s.CreateSurvey(b.Context(), survey.Survey{ID: survey.SurveyID(survey.NewID()), Title: fmt.Sprint("house ", n/200)}))(b)}
		}
		_, pin, err := h.photo(context.Background(), uint64(n), benchPhoto)
		if err != nil {
			b.Fatal(err)
		}
		for range 3 {
			pin.ID, pin.Version, pin.Number = survey.PinID(survey.NewID()), 0, 0
			must(s.PutPin(b.Context(), pin))(b)
		}
	}
	return dir
}
