package backup

import (
	"errors"
	"io/fs"
	"path"
	"slices"
)

// keep removes the sets that are older than the newest n, and the stored files that only they had. The newest good set stays however old it is, and so does the one that
// was just made.
func (t *target) keep(n int, r *Result) error {
	names, err := t.sets()
	if err != nil {
		return err
	}
	good := func(name string) bool {
		a, err := t.about(name)
		return err == nil && a.Good()
	}
	old := names[:max(0, len(names)-n)]
	if !slices.ContainsFunc(names[len(old):], good) {
		for i := len(old) - 1; i >= 0; i-- {
			if good(old[i]) {
				old = slices.Delete(slices.Clone(old), i, i+1)
				break
			}
		}
	}
	for _, name := range old {
		if name == r.Name {
			continue
		}
		if err := t.drop(name); err != nil {
			return explainTarget(t.dir, err)
		}
		r.Removed = append(r.Removed, name)
	}
	return explainTarget(t.dir, t.sweep(r))
}

// drop removes a set: it loses its name first, so that it is never there by half.
func (t *target) drop(name string) error {
	gone := path.Join(tempName, "old-"+name)
	if err := t.root.Rename(path.Join(setsName, name), gone); err != nil {
		return err
	}
	if err := syncFolder(t.root, setsName); err != nil {
		return err
	}
	return t.root.RemoveAll(gone)
}

// sweep removes the stored files that no set names. As long as the sums of one set cannot be read, all of them stay.
func (t *target) sweep(r *Result) error {
	names, err := t.sets()
	if err != nil {
		return err
	}
	named := map[string]bool{}
	for _, name := range names {
		list, err := t.sums(name)
		if err != nil {
			r.Warning = damaged(name, err).Error() + ". As long as it is there, no old file is removed"
			return nil
		}
		for _, s := range list {
			named[s.name] = true
		}
	}
	return fs.WalkDir(t.root.FS(), blobsName, func(name string, entry fs.DirEntry, err error) error {
		if err != nil || entry.IsDir() || named[name] {
			return err
		}
		if sum := entry.Name(); !isSum(sum) || name != blobName(sum) {
			return nil
		}
		if err := t.root.Remove(name); err != nil && !errors.Is(err, fs.ErrNotExist) {
			return err
		}
		r.Swept++
		return nil
	})
}
