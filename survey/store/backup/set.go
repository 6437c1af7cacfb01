package backup

import (
	"bufio"
	"bytes"
	"context"
	"crypto/sha256"
	"encoding/hex"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"os"
	"path"
	"regexp"
	"slices"
	"strings"
	"time"
)

// About says what a set holds. Newest is the newest change in it and NewestIn the title of its survey. Flaws is what was amiss in the data folder already: a set without is good.
type About struct {
	Format    int       `json:"format"`
	Name      string    `json:"-"`
	Made      time.Time `json:"made"`
	Schema    int       `json:"schema"`
	Surveys   int       `json:"surveys"`
	Photos    int       `json:"photos"`
	Revisions int       `json:"revisions"`
	Decisions int       `json:"decisions"`
	Newest    time.Time `json:"newest,omitzero"`
	NewestIn  string    `json:"newest_in,omitempty"`
	Files     int       `json:"files"`
	Bytes     int64     `json:"bytes"` // of the database and the files
	Flaws     []string  `json:"flaws,omitempty"`
}

// Good tells whether nothing was amiss when the set was made.
func (a About) Good() bool { return len(a.Flaws) == 0 }

const format = 1

// Limits on what is read of a set before it is known to be ours.
const (
	maxAbout = 4 << 20
	maxSums  = 256 << 20 // more than two million files
)

// A set is named by the time of its making, so that the names sort by age.
const nameLayout = "2006-01-02T150405Z"

var setName = regexp.MustCompile(`^\d{4}-\d\d-\d\dT\d{6}Z$`)

// nextName names a set: by the clock, but always after the sets that are there, also when the clock was set back.
func nextName(now time.Time, there []string) (string, error) {
	name := now.UTC().Format(nameLayout)
	if n := len(there); n > 0 && there[n-1] >= name {
		last, err := time.Parse(nameLayout, there[n-1])
		if err != nil {
			return "", fmt.Errorf("read the name of the backup %s: %w", there[n-1], err)
		}
		name = last.Add(time.Second).Format(nameLayout)
	}
	return name, nil
}

// sets lists the names of the sets, the oldest first.
func (t *target) sets() ([]string, error) {
	entries, err := fs.ReadDir(t.root.FS(), setsName)
	if err != nil {
		return nil, explainTarget(t.dir, err)
	}
	var names []string
	for _, e := range entries {
		if e.IsDir() && setName.MatchString(e.Name()) {
			names = append(names, e.Name())
		}
	}
	slices.Sort(names)
	return names, nil
}

// about reads what a set says of itself. That it is what was written is known when its sums were read.
func (t *target) about(name string) (About, error) {
	body, err := t.read(path.Join(setsName, name, aboutName), maxAbout)
	if err != nil {
		return About{}, damaged(name, err)
	}
	a := About{Name: name}
	if err := json.Unmarshal(body, &a); err != nil {
		return About{}, damaged(name, err)
	}
	if a.Format != format {
		return About{}, fmt.Errorf("the backup %s has the format %d, which this Undercroft does not know: use the newer program", name, a.Format)
	}
	return a, nil
}

// damaged says that a set cannot be used.
func damaged(name string, err error) error {
	return fmt.Errorf("the backup %s is damaged: %w. Use another one (-list shows them)", name, err)
}

// read reads a small file whole.
func (t *target) read(name string, limit int64) ([]byte, error) {
	f, err := t.root.Open(name)
	if err != nil {
		return nil, err
	}
	defer f.Close()
	body, err := io.ReadAll(io.LimitReader(f, limit+1))
	if err == nil && int64(len(body)) > limit {
		err = fmt.Errorf("%s is too large", name)
	}
	return body, err
}

// sum is one line of a set's SHA256SUMS: the file's path from the target.
type sum struct{ sha256, name string }

// writeSums writes the lines as sha256sum does, and last, as a comment to it, their number and their own sum: a line that is missing or changed is seen.
func writeSums(list []sum) []byte {
	var b bytes.Buffer
	for _, s := range list {
		fmt.Fprintf(&b, "%s  %s\n", s.sha256, s.name)
	}
	own := sha256.Sum256(b.Bytes())
	fmt.Fprintf(&b, "# %d files, %x\n", len(list), own)
	return b.Bytes()
}

var sumLine = regexp.MustCompile(`^([0-9a-f]{64})  ([A-Za-z0-9./-]{1,200})$`)

// readSums reads what writeSums wrote and nothing else.
func readSums(body []byte) ([]sum, error) {
	cut := bytes.LastIndex(bytes.TrimSuffix(body, []byte("\n")), []byte("\n")) + 1
	var list []sum
	lines := bufio.NewScanner(bytes.NewReader(body[:cut]))
	for lines.Scan() {
		m := sumLine.FindStringSubmatch(lines.Text())
		if m == nil || m[2] != path.Clean(m[2]) || !fs.ValidPath(m[2]) {
			return nil, errors.New("its list of sums cannot be read")
		}
		list = append(list, sum{m[1], m[2]})
	}
	if err := lines.Err(); err != nil || !bytes.Equal(body, writeSums(list)) {
		return nil, errors.New("its list of sums was changed or cut")
	}
	return list, nil
}

// sums reads the sums of a set; the list has its database, its about.json and stored files, and nothing else.
func (t *target) sums(name string) ([]sum, error) {
	body, err := t.read(path.Join(setsName, name, sumsName), maxSums)
	if err != nil {
		return nil, err
	}
	list, err := readSums(body)
	if err != nil {
		return nil, err
	}
	own := 0
	for _, s := range list {
		switch {
		case s.name == path.Join(setsName, name, databaseName) || s.name == path.Join(setsName, name, aboutName):
			own++
		case s.name != blobName(s.sha256):
			return nil, errors.New("its list of sums names a file that is none of its own")
		}
	}
	if own != 2 {
		return nil, errors.New("its list of sums does not name its database")
	}
	return list, nil
}

// sumFile sums up a file of the target.
func (t *target) sumFile(ctx context.Context, name string) (string, int64, error) {
	f, err := t.root.Open(name)
	if err != nil {
		return "", 0, err
	}
	defer f.Close()
	h := sha256.New()
	n, err := io.CopyBuffer(h, reading{ctx, f}, make([]byte, 128<<10))
	return hex.EncodeToString(h.Sum(nil)), n, err
}

// size is a plain file's size; false when there is none.
func (t *target) size(name string) (int64, bool) {
	info, err := t.root.Lstat(name)
	if err != nil || !info.Mode().IsRegular() {
		return 0, false
	}
	return info.Size(), true
}

// stored tells whether a line is of a stored file, not of one of the set's own two.
func (s sum) stored() bool { return strings.HasPrefix(s.name, blobsName+"/") }

// discard removes what is left of a set that was not finished.
func (t *target) discard(name string) error {
	if err := t.root.RemoveAll(path.Join(tempName, name)); err != nil && !errors.Is(err, os.ErrNotExist) {
		return err
	}
	return nil
}
