//go:build !linux

package main

import (
	"errors"
	"os"
)

// isTerminal tells whether a person types into the file.
func isTerminal(f *os.File) bool {
	info, err := f.Stat()
	return err == nil && info.Mode()&os.ModeCharDevice != 0
}

// hideTyping refuses: give the password on standard input.
func hideTyping(*os.File) (func(), error) {
	return nil, errors.New("give the password on standard input")
}
