package bundle

import (
	"archive/zip"
	"bytes"
	"context"
	"crypto/sha256"
	"encoding/hex"
	"encoding/json"
	"fmt"
	"io"
	"maps"
	"os"
	"path"
	"slices"
	"strings"
	"time"

	"undercroft/survey"
)

// Source is where a survey and its bytes are read; a store is one.
type Source interface {
	Snapshot(ctx context.Context, id survey.SurveyID) (survey.Snapshot, error)
	OpenBlob(sha256 string) (*os.File, error)
}

// Write writes a survey's bundle. The same survey makes the same bytes. NotFound when there is no survey; TooLarge when it has more than a bundle may hold.
func Write(ctx context.Context, w io.Writer, from Source, id survey.SurveyID) error {
	v, err := from.Snapshot(ctx, id)
	if err != nil {
		return err
	}
	files, err := filesOf(v, from)
	if err != nil {
		return err
	}
	if len(files)+2 > maxEntries {
		return survey.Errorf(survey.TooLarge, "The survey has %d files; a bundle holds %d. Export it before it grows so large, or remove photos.", len(files), maxEntries-2)
	}
	p := &packer{zip: zip.NewWriter(w), at: v.Record.ChangedAt, sums: map[string]string{}}
	text, err := json.MarshalIndent(documentOf(v, sortedFacts(v.Record.Facts)), "", " ")
	if err != nil {
		return fmt.Errorf("write survey: %w", err)
	}
	if err := p.add(surveyName, bytes.NewReader(text)); err != nil {
		return err
	}
	for _, name := range slices.Sorted(maps.Keys(files)) {
		if err := p.blob(ctx, from, name, files[name]); err != nil {
			return err
		}
	}
	return p.close()
}

// sortedFacts lists facts by key.
func sortedFacts(facts map[string]survey.Fact) []survey.Fact {
	var list []survey.Fact
	for _, key := range slices.Sorted(maps.Keys(facts)) {
		list = append(list, facts[key])
	}
	return list
}

// filesOf names every stored file of a survey in its bundle: which bytes lie where.
func filesOf(v survey.Snapshot, from Source) (map[string]string, error) {
	files := map[string]string{}
	have := map[string]bool{}
	for _, p := range v.Record.Photos {
		files[photoFile(p)] = p.SHA256
		have[p.SHA256] = true
	}
	add := func(sums ...string) {
		for _, sum := range sums {
			if sum != "" && !have[sum] {
				have[sum], files[blobFile(sum)] = true, sum
			}
		}
	}
	for _, p := range v.Record.Photos {
		add(p.Screen, p.Thumb)
	}
	for _, r := range v.Revisions {
		files[revisionFile(r.Number)] = r.SHA256
		content, err := readContent(from, r.SHA256)
		if err != nil {
			return nil, err
		}
		for _, p := range content.Photos {
			add(p.SHA256, p.Screen, p.Thumb)
		}
	}
	for _, f := range v.Finishes {
		if f.Act != survey.Finished {
			continue
		}
		files[finishedFile(f)] = f.SHA256
		content, err := readContent(from, f.SHA256)
		if err != nil {
			return nil, err
		}
		for _, p := range content.Photos {
			add(p.SHA256, p.Screen, p.Thumb)
		}
	}
	for _, r := range v.Record.Reviews {
		add(r.SHA256)
	}
	for _, r := range v.Renditions {
		files[reportFile(r)] = r.SHA256
	}
	return files, nil
}

// readContent reads what a bundle needs of a revision's content.
func readContent(from Source, sum string) (frozenContent, error) {
	var c frozenContent
	f, err := from.OpenBlob(sum)
	if err != nil {
		return c, fmt.Errorf("open a revision's content: %w", err)
	}
	defer f.Close()
	if err := json.NewDecoder(f).Decode(&c); err != nil {
		return c, fmt.Errorf("read a revision's content: %w", err)
	}
	return c, nil
}

func blobFile(sum string) string           { return "blobs/" + sum }
func revisionFile(number int) string       { return fmt.Sprintf("revisions/%d.json", number) }
func reportFile(r survey.Rendition) string { return fmt.Sprintf("reports/%d-%s", r.Number, r.Name) }
func photoFile(p survey.Photo) string {
	return fmt.Sprintf("photos/%03d-%s", p.Number, plainName(p.Name))
}

// plainName makes a photo's name one that every file system takes: letters, digits, dot, dash and underscore of ASCII, at most 80 of them.
func plainName(name string) string {
	name = strings.Map(func(r rune) rune {
		if r < 0x80 && (r >= '0' && r <= '9' || r >= 'A' && r <= 'Z' || r >= 'a' && r <= 'z' || strings.ContainsRune(".-_", r)) {
			return r
		}
		return '_'
	}, name)
	if len(name) > 80 {
		ending := path.Ext(name)
		if len(ending) > 10 {
			ending = ""
		}
		name = name[:80-len(ending)] + ending
	}
	return name
}

// packer writes the files of a bundle and sums them up.
type packer struct {
	zip  *zip.Writer
	at   time.Time
	sums map[string]string
}

func (p *packer) blob(ctx context.Context, from Source, name, sum string) error {
	if err := ctx.Err(); err != nil {
		return err
	}
	f, err := from.OpenBlob(sum)
	if err != nil {
		return fmt.Errorf("open %s: %w", name, err)
	}
	defer f.Close()
	if err := p.add(name, f); err != nil {
		return err
	}
	if p.sums[name] != sum {
		return fmt.Errorf("the stored file of %s is damaged: its sum is %s, not %s", name, p.sums[name], sum)
	}
	return nil
}

// add writes one file. JSON is compressed; photos are already.
func (p *packer) add(name string, r io.Reader) error {
	method := zip.Store
	if strings.HasSuffix(name, ".json") || name == sumsName {
		method = zip.Deflate
	}
	w, err := p.zip.CreateHeader(&zip.FileHeader{Name: name, Method: method, Modified: p.at.UTC().Truncate(2 * time.Second)})
	if err != nil {
		return fmt.Errorf("write %s: %w", name, err)
	}
	sum := sha256.New()
	if _, err := io.Copy(io.MultiWriter(w, sum), r); err != nil {
		return fmt.Errorf("write %s: %w", name, err)
	}
	p.sums[name] = hex.EncodeToString(sum.Sum(nil))
	return nil
}

// close writes the sums, as sha256sum does, and ends the file.
func (p *packer) close() error {
	var text strings.Builder
	for _, name := range slices.Sorted(maps.Keys(p.sums)) {
		fmt.Fprintf(&text, "%s  %s\n", p.sums[name], name)
	}
	if err := p.add(sumsName, strings.NewReader(text.String())); err != nil {
		return err
	}
	if err := p.zip.Close(); err != nil {
		return fmt.Errorf("write bundle: %w", err)
	}
	return nil
}
