package survey

import (
	"errors"
	"fmt"
	"time"
)

// Kind sorts the errors that a person can do something about. The zero Kind is internal: nothing of it is shown.
type Kind int

// The kinds of error.
const (
	Internal Kind = iota
	NotFound
	Invalid
	Conflict
	TooLarge
	NoSpace
	SignedOut // nobody is signed in who could do this
	Forbidden // who is signed in may not do this
	Busy      // the server has as much to do as it takes on at once
	TooOften  // this was asked for more often than is allowed
)

// String names the kind for the log.
func (k Kind) String() string {
	names := [...]string{"internal", "not found", "invalid", "conflict", "too large", "no space", "signed out", "forbidden", "busy", "too often"}
	if k < 0 || int(k) >= len(names) {
		return fmt.Sprintf("kind %d", int(k))
	}
	return names[k]
}

// Error is an error whose Message may be shown to the user. Fields names what is wrong with single inputs, by field key. Current
// is the newer row, of the same type as the one that was sent, when Kind is Conflict. Retry is how long to wait before trying again when Kind is
// Busy or TooOften.
type Error struct {
	Kind    Kind
	Message string
	Fields  map[string]string
	Current any
	Retry   time.Duration
	Cause   error
}

// Error gives the message and the cause, for the log.
func (e *Error) Error() string {
	if e.Cause != nil {
		return fmt.Sprintf("%s: %v", e.Message, e.Cause)
	}
	return e.Message
}

// Unwrap gives the cause.
func (e *Error) Unwrap() error { return e.Cause }

// KindOf is the kind of the first *Error in the chain, Internal when there is none.
func KindOf(err error) Kind {
	if e, ok := errors.AsType[*Error](err); ok {
		return e.Kind
	}
	return Internal
}

// Message is what may be shown of an error: the message of an *Error, and a general sentence for any other.
func Message(err error) string {
	if e, ok := errors.AsType[*Error](err); ok && e.Kind != Internal {
		return e.Message
	}
	return "Something went wrong on our side. What you typed was not lost; try again."
}

// Errorf makes an *Error of one kind with a message that may be shown.
func Errorf(kind Kind, format string, args ...any) *Error {
	return &Error{Kind: kind, Message: fmt.Sprintf(format, args...)}
}
