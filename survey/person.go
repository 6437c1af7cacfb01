package survey

import (
	"context"
	"strings"
	"time"
	"unicode"
)

// PersonID is the id of a person, a UUID.
type PersonID string

// Role is what a person does on a job, and so what that person may do here.
type Role string

// The roles: who visits and sells, who builds, and who runs the office. The office may do everything.
const (
	RoleSurveyor  Role = "surveyor"
	RoleInstaller Role = "installer"
	RoleOffice    Role = "office"
)

// Roles lists all roles.
func Roles() []Role { return []Role{RoleSurveyor, RoleInstaller, RoleOffice} }

// Person is somebody who may sign in, by name and password. No mail address is needed or kept. A person that is disabled cannot sign in, and stays
// so that a name in the history is still somebody's.
type Person struct {
	ID        PersonID
	Name      string
	Role      Role
	Disabled  bool
	CreatedAt time.Time
}

// maxPersonName is the longest name, in bytes.
const maxPersonName = 80

// Validate checks the name and the role. An Invalid error names the fields "name" and "role".
func (p Person) Validate() error {
	fields := map[string]string{}
	if p.Name == "" || len(p.Name) > maxPersonName || p.Name != strings.TrimSpace(p.Name) || strings.ContainsFunc(p.Name, unprintable) {
		fields["name"] = "Write a name of 1 to 80 characters on one line."
	}
	switch p.Role {
	case RoleSurveyor, RoleInstaller, RoleOffice:
	default:
		fields["role"] = "Choose surveyor, installer or office."
	}
	if len(fields) > 0 {
		return &Error{Kind: Invalid, Message: "This is no person who could sign in.", Fields: fields}
	}
	return nil
}

// unprintable tells whether a rune does not show, or turns the reading direction.
func unprintable(r rune) bool {
	return r == unicode.ReplacementChar || !unicode.IsGraphic(r) || r >= 0x202a && r <= 0x202e || r >= 0x2066 && r <= 0x2069
}

// NameKey is what a name is compared by: whatever its letters' case and the spaces within it.
func NameKey(name string) string { return strings.ToLower(strings.Join(strings.Fields(name), " ")) }

// How long somebody stays signed in: without a request, and at the longest.
const (
	SessionIdle    = 12 * time.Hour
	SessionLongest = 30 * 24 * time.Hour
)

type personKey struct{}

// WithPerson is ctx with the person on whose behalf all is done under it.
func WithPerson(ctx context.Context, p Person) context.Context {
	return context.WithValue(ctx, personKey{}, p)
}

// PersonOf is the person on whose behalf something is done; false when nobody is signed in.
func PersonOf(ctx context.Context) (Person, bool) {
	p, ok := ctx.Value(personKey{}).(Person)
	return p, ok
}
