package backup

import (
	"context"
	"crypto/sha256"
	"encoding/hex"
	"encoding/json"
	"errors"
	"fmt"
	"io/fs"
	"path"
	"path/filepath"
	"time"

	"undercroft/survey/store"
)

// Config says what is backed up where. Keep is how many sets are kept, at least 1. Reread reads every stored file in the target again instead of only looking at its size.
// Progress, which may be nil, hears how many bytes of how many are done.
type Config struct {
	Data, Target string
	Keep         int
	Reread       bool
	Now          func() time.Time
	Progress     func(done, total int64)
}

// Result is what a backup did. Copied counts the stored files that were copied, Mended those of them that the target had damaged. Removed are the sets
// that were older than those to be kept, Swept the stored files that only they had. Warning is what kept old files from being removed, empty when nothing did.
type Result struct {
	About
	Copied, Mended int
	CopiedBytes    int64
	Removed        []string
	Swept          int
	Warning        string
	SameDisk       bool // the target is on the disk that the data are on
}

// Make makes a backup of a data folder, beside the server when one runs. What was answered before it began is in it. Sets that were there stay as they were, whatever
// happens; after an error there is no new one unless Result names it. A set with flaws is made all the same, since the rest should not be without a backup: the caller has to say so.
func Make(ctx context.Context, c Config) (result Result, err error) {
	if c.Keep < 1 {
		return Result{}, errors.New("at least one backup must be kept")
	}
	from, err := store.OpenAside(ctx, c.Data)
	if err != nil {
		return Result{}, err
	}
	defer func() { err = errors.Join(err, from.Close()) }()
	t, err := openTarget(c.Target, c.Data)
	if err != nil {
		return Result{}, err
	}
	defer func() { err = errors.Join(err, t.Close()) }()
	m := making{target: t, from: from, config: c}
	if result, err = m.run(ctx); err != nil {
		if full(err) {
			err = explainTarget(t.dir, err)
		}
		return Result{}, errors.Join(err, t.discard(m.name))
	}
	if err := t.keep(c.Keep, &result); err != nil {
		return result, fmt.Errorf("the backup %s was made, but old ones could not be removed: %w", result.Name, err)
	}
	return result, nil
}

// making is one backup under way.
type making struct {
	*target
	from   *store.Aside
	config Config
	name   string
	result Result
	sums   []sum
	dirty  map[string]bool // folders of the target that have new names
	done   int64
	total  int64
}

// run makes the set: the database first, then what it names, then its name.
func (m *making) run(ctx context.Context) (Result, error) {
	there, err := m.sets()
	if err != nil {
		return Result{}, err
	}
	now := m.config.Now()
	if m.name, err = nextName(now, there); err != nil {
		return Result{}, err
	}
	m.dirty = map[string]bool{}
	m.result.SameDisk = sameDisk(m.dir, m.config.Data)
	temp := path.Join(tempName, m.name)
	if err := m.root.Mkdir(temp, 0o700); err != nil {
		return Result{}, err
	}
	inventory, err := m.from.Copy(ctx, filepath.Join(m.dir, filepath.FromSlash(temp), databaseName))
	if err != nil {
		return Result{}, err
	}
	m.result.About = About{Format: format, Name: m.name, Made: now.UTC(), Schema: inventory.Schema, Surveys: inventory.Surveys, Photos: inventory.Photos,
		Revisions: inventory.Revisions, Decisions: inventory.Decisions, Newest: inventory.Newest, NewestIn: inventory.NewestIn, Flaws: inventory.Flaws}
	if err := m.copyFiles(ctx, inventory.Files); err != nil {
		return Result{}, err
	}
	if err := m.finish(ctx, temp); err != nil {
		return Result{}, err
	}
	return m.result, nil
}

// finish sums the database up, writes what the set is and gives it its name.
func (m *making) finish(ctx context.Context, temp string) error {
	own, n, err := m.sumFile(ctx, path.Join(temp, databaseName))
	if err != nil {
		return err
	}
	m.result.Bytes += n
	m.result.Files = len(m.sums)
	about, err := json.MarshalIndent(m.result.About, "", "  ")
	if err != nil {
		return err
	}
	about = append(about, '\n')
	home := path.Join(setsName, m.name)
	aboutSum := sha256.Sum256(about)
	all := append([]sum{{own, path.Join(home, databaseName)}, {hex.EncodeToString(aboutSum[:]), path.Join(home, aboutName)}}, m.sums...)
	if err := errors.Join(m.writeNew(path.Join(temp, aboutName), about), m.writeNew(path.Join(temp, sumsName), writeSums(all))); err != nil {
		return err
	}
	for folder := range m.dirty {
		if err := syncFolder(m.root, folder); err != nil {
			return err
		}
	}
	if err := syncFolder(m.root, temp); err != nil {
		return err
	}
	if err := m.root.Rename(temp, home); err != nil {
		return err
	}
	return errors.Join(syncFolder(m.root, setsName), syncFolder(m.root, tempName))
}

// need is a stored file that has to be copied.
type need struct {
	store.Named
	bytes int64
}

// copyFiles brings the target what it lacks. A file that is missing or damaged in the data folder is a flaw; a good one in the target then stands for it.
func (m *making) copyFiles(ctx context.Context, files []store.Named) error {
	var lacking []need
	for _, f := range files {
		if err := ctx.Err(); err != nil {
			return err
		}
		bytes, err := m.sizeOf(f.SHA256)
		if errors.Is(err, fs.ErrNotExist) {
			if err := m.standIn(ctx, f, "is missing"); err != nil {
				return err
			}
			continue
		}
		if err != nil {
			return err
		}
		good, err := m.has(ctx, f.SHA256, bytes)
		if err != nil {
			return err
		}
		if good {
			m.count(f.SHA256, bytes)
			continue
		}
		lacking = append(lacking, need{f, bytes})
		m.total += bytes
	}
	if room, known := freeBytes(m.dir); known && room < m.total {
		return fmt.Errorf("%s has %d MB left and the new files need %d MB: make room, or keep fewer backups with -keep. The backups made before are as they were", m.dir, room>>20, m.total>>20+1)
	}
	for _, f := range lacking {
		if err := m.copyOne(ctx, f); err != nil {
			return err
		}
	}
	return nil
}

// sizeOf is the size of a stored file in the data folder.
func (m *making) sizeOf(sum string) (int64, error) {
	f, err := m.from.Open(sum)
	if err != nil {
		return 0, err
	}
	defer f.Close()
	info, err := f.Stat()
	if err == nil && !info.Mode().IsRegular() {
		return 0, fs.ErrNotExist
	}
	if err != nil {
		return 0, err
	}
	return info.Size(), nil
}

// has tells whether the target has a file already: by its size, or by its bytes when they are to be read again.
func (m *making) has(ctx context.Context, sum string, bytes int64) (bool, error) {
	size, there := m.size(blobName(sum))
	if !there {
		return false, nil
	}
	if size == bytes && !m.config.Reread {
		return true, nil
	}
	if size == bytes {
		is, _, err := m.sumFile(ctx, blobName(sum))
		if is == sum || ctx.Err() != nil {
			return err == nil, err
		}
	}
	return false, nil
}

// count writes a file that is in the target into the set.
func (m *making) count(sha256 string, bytes int64) {
	m.sums = append(m.sums, sum{sha256, blobName(sha256)})
	m.result.Bytes += bytes
}

// copyOne copies a stored file, reading its sum on the way: bytes that are not what they should be never get the name.
func (m *making) copyOne(ctx context.Context, f need) error {
	from, err := m.from.Open(f.SHA256)
	if err != nil {
		return err
	}
	defer from.Close()
	temp := path.Join(tempName, m.name, f.SHA256)
	is, n, err := copyInto(m.root, temp, reading{ctx, from})
	if err != nil {
		return err
	}
	if is != f.SHA256 {
		if err := m.root.Remove(temp); err != nil {
			return err
		}
		return m.standIn(ctx, f.Named, "is damaged")
	}
	_, mended := m.size(blobName(f.SHA256))
	if err := m.root.Rename(temp, blobName(f.SHA256)); err != nil {
		return err
	}
	m.dirty[path.Dir(blobName(f.SHA256))] = true
	m.count(f.SHA256, n)
	m.result.Copied++
	m.result.CopiedBytes += n
	if mended {
		m.result.Mended++
	}
	if m.done += n; m.config.Progress != nil {
		m.config.Progress(m.done, m.total)
	}
	return nil
}

// standIn takes a file of an earlier backup for one that the data folder has lost, when its bytes are good. Either way it is a flaw, unless the file need not be there.
func (m *making) standIn(ctx context.Context, f store.Named, how string) error {
	is, n, err := "", int64(0), error(nil)
	if isSum(f.SHA256) {
		is, n, err = m.sumFile(ctx, blobName(f.SHA256))
	}
	if ctx.Err() != nil {
		return ctx.Err()
	}
	good := err == nil && is == f.SHA256
	if good {
		m.count(f.SHA256, n)
	}
	switch {
	case f.Mentioned:
	case good:
		m.result.Flaws = append(m.result.Flaws, fmt.Sprintf("%s %s in the data folder; the backup has it, as %s", f.What, how, blobName(f.SHA256)))
	default:
		m.result.Flaws = append(m.result.Flaws, fmt.Sprintf("%s %s in the data folder and is not in the backup: %.70q", f.What, how, f.SHA256))
	}
	return nil
}
