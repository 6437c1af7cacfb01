// Package password hashes passwords with argon2id and checks them. A hash is a text that names its own costs, so that older ones can still be checked
// after the costs were raised.
package password

import (
	"crypto/rand"
	"crypto/subtle"
	"encoding/base64"
	"errors"
	"fmt"
	"strings"
	"unicode/utf8"

	"golang.org/x/crypto/argon2"
)

// costs are what one hash takes.
type costs struct {
	memory, time uint32 // memory in KiB
	threads      uint8
}

// now are the costs of new hashes: the first of the equal settings in OWASP's Password Storage Cheat Sheet (argon2id with 46 MiB, one pass, one
// thread).
func now() costs { return costs{memory: 47104, time: 1, threads: 1} }

// The lengths of salt and hash, in bytes (RFC 9106, section 3.1, and the recommended tag of 256 bits).
const (
	saltBytes = 16
	hashBytes = 32
)

// The limits of a password: characters at the least, different ones among them, and bytes at the most.
const (
	shortest  = 12
	different = 5
	longest   = 256
)

// The limits of the costs that a stored hash may name, so that a broken one cannot stop the server.
const (
	mostMemory = 1 << 20 // KiB
	mostTime   = 16
)

// errHash is the answer to a text that is no hash.
var errHash = errors.New("the stored hash of a password cannot be read")

// Judge tells what is wrong with a new password of a person, in words that may be shown; nil when it will do. Length is what counts: no rule about
// kinds of characters (OWASP ASVS 5.0.0, 6.2.1 and 6.2.5). A password that is little but a name or one sign is refused.
func Judge(password, name string) error {
	signs := map[rune]bool{}
	for _, r := range password {
		signs[r] = true
	}
	folded, name := strings.ToLower(password), strings.ToLower(strings.TrimSpace(name))
	switch {
	case !utf8.ValidString(password):
		return errors.New("the password holds bytes that are no text")
	case utf8.RuneCountInString(password) < shortest:
		return fmt.Errorf("the password needs at least %d characters; a few words in a row are easy to type", shortest)
	case len(password) > longest:
		return fmt.Errorf("the password may have at most %d bytes", longest)
	case len(signs) < different:
		return fmt.Errorf("the password needs at least %d different characters", different)
	case name != "" && utf8.RuneCountInString(strings.ReplaceAll(folded, name, "")) < shortest/2:
		return errors.New("the password is little more than the name")
	case strings.Contains("01234567890123456789", folded), strings.Contains("abcdefghijklmnopqrstuvwxyz", folded), strings.Contains("qwertyuiopasdfghjklzxcvbnm", folded):
		return errors.New("the password is a row of keys")
	}
	return nil
}

// Hash makes the hash of a password with a new salt. It takes tens of milliseconds and 46 MiB.
func Hash(password string) string {
	salt := make([]byte, saltBytes)
	_, _ = rand.Read(salt) // it never fails: crypto/rand ends the program instead
	return now().text(salt, now().key(password, salt, hashBytes))
}

// Nobody is a hash that no password has, for names that nobody has: checking against it costs what checking costs.
func Nobody() string { return now().text(make([]byte, saltBytes), make([]byte, hashBytes)) }

// Check tells whether a password has this hash, and whether the hash was made at another cost than new ones are. An error says that the text is no hash.
func Check(password, hash string) (fits, old bool, err error) {
	c, salt, want, err := read(hash)
	if err != nil || len(password) > longest {
		return false, false, err
	}
	got := c.key(password, salt, uint32(len(want))) // #nosec G115 -- read takes 16 to 64 bytes
	return subtle.ConstantTimeCompare(got, want) == 1, c != now(), nil
}

func (c costs) key(password string, salt []byte, length uint32) []byte {
	return argon2.IDKey([]byte(password), salt, c.time, c.memory, c.threads, length)
}

// text writes a hash in the usual form: $argon2id$v=19$m=…,t=…,p=…$salt$hash.
func (c costs) text(salt, key []byte) string {
	b64 := base64.RawStdEncoding.EncodeToString
	return fmt.Sprintf("$argon2id$v=%d$m=%d,t=%d,p=%d$%s$%s", argon2.Version, c.memory, c.time, c.threads, b64(salt), b64(key))
}

// read takes such a text apart.
func read(hash string) (c costs, salt, key []byte, err error) {
	parts := strings.Split(hash, "$")
	if len(parts) != 6 || parts[0] != "" || parts[1] != "argon2id" || parts[2] != fmt.Sprintf("v=%d", argon2.Version) {
		return c, nil, nil, errHash
	}
	if _, err := fmt.Sscanf(parts[3], "m=%d,t=%d,p=%d", &c.memory, &c.time, &c.threads); err != nil {
		return c, nil, nil, errHash
	}
	salt, saltErr := base64.RawStdEncoding.DecodeString(parts[4])
	key, keyErr := base64.RawStdEncoding.DecodeString(parts[5])
	if saltErr != nil || keyErr != nil || len(key) < 16 || len(key) > 64 || c.memory > mostMemory || c.time > mostTime || c.time == 0 || c.threads == 0 {
		return c, nil, nil, errHash
	}
	return c, salt, key, nil
}
