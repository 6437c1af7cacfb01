package backup

import (
	"crypto/sha256"
	"encoding/hex"
	"errors"
	"io"
	"os"
)

// copyInto writes what r gives into a new file that nobody writes again, on the disk when it returns, and gives its sum and size. After an error nothing is left of it.
func copyInto(root *os.Root, name string, r io.Reader) (sum string, bytes int64, err error) {
	f, err := root.OpenFile(name, os.O_WRONLY|os.O_CREATE|os.O_EXCL, 0o400)
	if err != nil {
		return "", 0, err
	}
	h := sha256.New()
	bytes, err = io.CopyBuffer(io.MultiWriter(f, h), r, make([]byte, 256<<10))
	if err == nil {
		err = f.Sync() // before the name: a file of the right size and without its bytes would be taken for good
	}
	if err = errors.Join(err, f.Close()); err != nil {
		return "", 0, errors.Join(err, root.Remove(name))
	}
	return hex.EncodeToString(h.Sum(nil)), bytes, nil
}

// isSum tells whether a text is a SHA-256 as stored files are named by it.
func isSum(text string) bool {
	_, err := hex.DecodeString(text)
	return err == nil && len(text) == 2*sha256.Size
}
