package backup

import (
	"bufio"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"undercroft/survey/store/disktest"
)

// powerCuts is even: one of two comes while files are copied, the other right after the backup said that it was made.
const powerCuts = 6

// TestPowerCutDuringBackup cuts the target's disk off. A backup that said it was made is there and can be restored after the power comes back, and so is every one before it.
func TestPowerCutDuringBackup(t *testing.T) {
	h, disk := openHouse(t), disktest.NewImage(t, "")
	target := filepath.Join(disk.Dir, "backups")
	if _, _, err := h.photo(t.Context(), 1, 100_000); err != nil {
		t.Fatal(err)
	}
	made := map[string]int{h.back(t, target).Name: 1}
	photos := 1
	for i := range powerCuts {
		for n := range 5 {
			if _, _, err := h.photo(t.Context(), uint64(100*i+n+10), 400_000); err != nil {
				t.Fatal(err)
			}
			photos++
		}
		until := []string{"copied", "made"}[i%2]
		if name := cutAt(t, disk, h.dir, target, until); until == "made" {
			made[name] = photos
		}
		disk.Remount(t, "")
		there := map[string]int{}
		for _, set := range must(List(target))(t) {
			there[set.Name] = len(h.restored(t, target, set.Name).Record.Photos)
		}
		for name, want := range made {
			if got, ok := there[name]; !ok || got != want {
				t.Fatalf("after cut %d: the backup %s, which was said to be made, has %d photos, want %d (%v)", i, name, got, want, ok)
			}
		}
	}
}

// cutAt starts a backup, cuts its disk off at the first line that begins with the word, and gives what else stands in that line.
func cutAt(t *testing.T, disk disktest.Image, data, target, word string) string {
	t.Helper()
	cmd := child(t, data, target)
	out := must(cmd.StdoutPipe())(t)
	cmd.Stderr = os.Stderr
	if err := cmd.Start(); err != nil {
		t.Fatal(err)
	}
	defer cmd.Wait()
	lines := bufio.NewScanner(out)
	for lines.Scan() {
		if rest, ok := strings.CutPrefix(lines.Text(), word+" "); ok {
			disk.Cut(t)
			for lines.Scan() { // it goes on until it fails
			}
			return rest
		}
	}
	t.Fatalf("the backup ended without saying %q", word)
	return ""
}
