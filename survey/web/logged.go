package web

import (
	"errors"
	"fmt"
	"net/http"
	"regexp"
	"strings"

	"undercroft/survey"
)

// What a request's line in the log may say. Whoever runs the server reads it, and perhaps others do: so it holds ids, patterns of routes and what failed inside the server, and
// nothing that somebody has typed or sent, nor where from.

// errorForLog says an error: what a client did wrong by its kind alone, since messages and the keys of fields repeat what was sent; what failed inside in full but
// for network addresses.
func errorForLog(err error) string {
	e, ok := errors.AsType[*survey.Error](err)
	switch {
	case ok && e.Cause != nil && e.Kind != survey.Invalid:
		return e.Kind.String() + ": " + WithoutAddresses(e.Cause.Error())
	case ok && len(e.Fields) > 0:
		return fmt.Sprintf("%s: %d of its fields", e.Kind, len(e.Fields))
	case ok && e.Kind != survey.Internal:
		return e.Kind.String()
	}
	status := statusOf(err)
	if status == statusChecksum {
		return "checksum"
	}
	if status < http.StatusInternalServerError {
		return strings.ToLower(http.StatusText(status))
	}
	return WithoutAddresses(err.Error())
}

// networkAddress finds addresses, with a port or without.
var networkAddress = regexp.MustCompile(`\[[0-9A-Fa-f:.%a-z]+\](:\d+)?|\b\d{1,3}(\.\d{1,3}){3}(:\d+)?`)

// WithoutAddresses is a text of the system without the network addresses that stand in it, for the log.
func WithoutAddresses(text string) string { return networkAddress.ReplaceAllString(text, "(address)") }
