package bundle

import (
	"archive/zip"
	"bufio"
	"bytes"
	"crypto/sha256"
	"encoding/hex"
	"encoding/json"
	"errors"
	"io"
	"regexp"
	"strings"
	"unicode"

	"undercroft/survey"
)

// What a bundle may hold.
const (
	maxEntries   = 2000
	maxTotal     = 2 << 30  // bytes of all files, unpacked
	maxJSON      = 64 << 20 // bytes of survey.json, and of one revision's content
	maxRatio     = 100      // unpacked to packed, of a file over a megabyte
	maxReport    = 200 << 20
	smallForBomb = 1 << 20
)

// entryName matches the only names that a file of a bundle may have: no folder above, no root, no backslash, nothing hidden.
var entryName = regexp.MustCompile(`^(survey\.json|SHA256SUMS|photos/[0-9]{3,7}-[A-Za-z0-9._-]{1,80}|blobs/[0-9a-f]{64}|(revisions|finished)/[1-9][0-9]{0,5}\.json|reports/[1-9][0-9]{0,5}-[a-z0-9.-]{1,60})$`)

// Bundle is a bundle that has been checked: every file is there, is the one that was summed up, and survey.json names no other.
type Bundle struct {
	Snapshot survey.Snapshot
	files    map[string]*zip.File
	sums     map[string]string // of every file but SHA256SUMS
}

// Open reads and checks a bundle of size bytes. Whatever is wrong is an Invalid error that says so in words for a person.
func Open(r io.ReaderAt, size int64) (*Bundle, error) {
	archive, err := zip.NewReader(r, size)
	if err != nil {
		return nil, refuse("it is no zip file, or it is cut short")
	}
	b := &Bundle{files: map[string]*zip.File{}, sums: map[string]string{}}
	if err := b.list(archive); err != nil {
		return nil, err
	}
	if err := b.checkSums(); err != nil {
		return nil, err
	}
	d, err := b.document()
	if err != nil {
		return nil, err
	}
	if err := b.checkDocument(d); err != nil {
		return nil, err
	}
	b.Snapshot = d.snapshot()
	if err := b.checkRevisions(); err != nil {
		return nil, err
	}
	return b, b.checkFinishings()
}

// refuse is why a bundle is refused.
func refuse(text string, args ...any) error {
	return survey.Errorf(survey.Invalid, "The bundle was refused: "+text+".", args...)
}

// list takes the archive's files in by name, before anything is unpacked.
func (b *Bundle) list(archive *zip.Reader) error {
	if len(archive.File) > maxEntries {
		return refuse("it has %d files, more than %d", len(archive.File), maxEntries)
	}
	var total uint64
	for _, f := range archive.File {
		switch {
		case !entryName.MatchString(f.Name):
			return refuse("it has a file %q, which no bundle has", clip(f.Name))
		case b.files[f.Name] != nil:
			return refuse("it has two files %q", f.Name)
		case !f.Mode().IsRegular():
			return refuse("%q is no plain file", f.Name)
		case f.UncompressedSize64 > smallForBomb && f.UncompressedSize64/maxRatio > f.CompressedSize64:
			return refuse("%q unpacks to more than %d times its size", f.Name, maxRatio)
		}
		if total += f.UncompressedSize64; f.UncompressedSize64 > maxTotal || total > maxTotal {
			return refuse("it unpacks to more than %d GB", maxTotal>>30)
		}
		b.files[f.Name] = f
	}
	for _, name := range []string{surveyName, sumsName} {
		if b.files[name] == nil {
			return refuse("%s is missing", name)
		}
	}
	return nil
}

// read unpacks a file of at most max bytes.
func (b *Bundle) read(name string, max int64) ([]byte, error) {
	f := b.files[name]
	if f == nil {
		return nil, refuse("%s is missing", name)
	}
	if f.UncompressedSize64 > uint64(max) { // #nosec G115 -- a constant of this package
		return nil, refuse("%s has more than %d MB", name, max>>20)
	}
	r, err := f.Open()
	if err != nil {
		return nil, refuse("%s cannot be unpacked", name)
	}
	defer r.Close()
	body, err := io.ReadAll(io.LimitReader(r, max+1))
	if err != nil || int64(len(body)) > max {
		return nil, refuse("%s cannot be unpacked", name)
	}
	return body, nil
}

// checkSums sums every file up and compares with SHA256SUMS, in both directions.
func (b *Bundle) checkSums() error {
	text, err := b.read(sumsName, smallForBomb)
	if err != nil {
		return err
	}
	want := map[string]string{}
	for lines := bufio.NewScanner(bytes.NewReader(text)); lines.Scan(); {
		sum, name, ok := strings.Cut(lines.Text(), "  ")
		if !ok || len(sum) != 2*sha256.Size || want[name] != "" {
			return refuse("a line of %s cannot be read", sumsName)
		}
		want[name] = sum
	}
	for name := range want {
		if b.files[name] == nil {
			return refuse("%s names %q, which is missing", sumsName, clip(name))
		}
	}
	for name, f := range b.files {
		if name == sumsName {
			continue
		}
		if want[name] == "" {
			return refuse("%s does not name %q", sumsName, name)
		}
		got, err := sumOf(f)
		if err != nil {
			return refuse("%s cannot be unpacked", name)
		}
		if got != want[name] {
			return refuse("%s was changed: its sum is another", name)
		}
		b.sums[name] = got
	}
	return nil
}

func sumOf(f *zip.File) (string, error) {
	r, err := f.Open()
	if err != nil {
		return "", err
	}
	defer r.Close()
	sum := sha256.New()
	n, err := io.Copy(sum, io.LimitReader(r, int64(f.UncompressedSize64)+1)) // #nosec G115 -- list has bounded it by maxTotal
	if err == nil && uint64(n) != f.UncompressedSize64 {                     // #nosec G115 -- io.Copy counts from 0
		err = errors.New("the size is another")
	}
	return hex.EncodeToString(sum.Sum(nil)), err
}

// document reads survey.json.
func (b *Bundle) document() (document, error) {
	var d document
	text, err := b.read(surveyName, maxJSON)
	if err != nil {
		return d, err
	}
	if err := survey.CheckJSON(text); err != nil {
		return d, refuse("%s cannot be read: %s", surveyName, err)
	}
	var head struct {
		Format string `json:"format"`
		Schema int    `json:"schema"`
	}
	if err := json.Unmarshal(text, &head); err != nil || head.Format != format {
		return d, refuse("%s is not a survey's", surveyName)
	}
	if head.Schema != schema {
		return d, refuse("it was written for schema %d, and this program reads schema %d: use the program that wrote it, or a newer one", head.Schema, schema)
	}
	decoder := json.NewDecoder(bytes.NewReader(text))
	decoder.DisallowUnknownFields()
	if err := decoder.Decode(&d); err != nil {
		return d, refuse("%s cannot be read: %s", surveyName, clip(err.Error()))
	}
	return d, nil
}

// clip shortens what a stranger wrote, and takes out what does not print.
func clip(text string) string {
	text = strings.Map(func(r rune) rune {
		if !unicode.IsPrint(r) {
			return '?'
		}
		return r
	}, strings.ToValidUTF8(text, "?"))
	if len(text) > 120 {
		text = strings.ToValidUTF8(text[:120], "") + "…"
	}
	return text
}
