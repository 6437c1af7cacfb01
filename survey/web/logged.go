package web

import (
	"errors"
	"maps"
	"net/http"
	"regexp"
	"slices"
	"strings"

	"undercroft/survey"
)

// What a request's line in the log may say. Whoever runs the server reads it, and perhaps others do: so it holds ids, patterns of routes and what failed inside the server, and
// nothing that somebody has typed or sent, nor where from.

// errorForLog says an error: what a client did wrong by its kind and the names of the fields, since messages repeat what was sent; what failed inside in full but
// for network addresses.
func errorForLog(err error) string {
	e, ok := errors.AsType[*survey.Error](err)
	switch {
	case ok && e.Cause != nil && e.Kind != survey.Invalid:
		return e.Kind.String() + ": " + WithoutAddresses(e.Cause.Error())
	case ok && len(e.Fields) > 0:
		return e.Kind.String() + ": " + strings.Join(fieldNames(e.Fields), ", ")
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

// fieldNames lists the fields by their keys. A key that is none of ours has been made up by whoever sent it, and is not repeated.
func fieldNames(fields map[string]string) []string {
	var names []string
	for _, key := range slices.Sorted(maps.Keys(fields)) {
		if !fieldKey.MatchString(key) {
			key = "(other)"
		}
		names = append(names, key)
	}
	return slices.Compact(names)
}

// fieldKey is how the keys of fields are written, as survey/factfield.go has them.
var fieldKey = regexp.MustCompile(`^[a-z][a-z0-9_.]{0,40}$`)

// networkAddress finds addresses, with a port or without.
var networkAddress = regexp.MustCompile(`\[[0-9A-Fa-f:.%a-z]+\](:\d+)?|\b\d{1,3}(\.\d{1,3}){3}(:\d+)?`)

// WithoutAddresses is a text of the system without the network addresses that stand in it, for the log.
func WithoutAddresses(text string) string { return networkAddress.ReplaceAllString(text, "(address)") }
