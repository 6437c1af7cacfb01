package main

import (
	"os"

	"golang.org/x/sys/unix"
)

// isTerminal tells whether a person types into the file.
func isTerminal(f *os.File) bool {
	_, err := unix.IoctlGetTermios(int(f.Fd()), unix.TCGETS)
	return err == nil
}

// hideTyping keeps the terminal from showing what is typed until the function it gives is called.
func hideTyping(f *os.File) (show func(), err error) {
	was, err := unix.IoctlGetTermios(int(f.Fd()), unix.TCGETS)
	if err != nil {
		return nil, err
	}
	hidden := *was
	hidden.Lflag &^= unix.ECHO
	if err := unix.IoctlSetTermios(int(f.Fd()), unix.TCSETS, &hidden); err != nil {
		return nil, err
	}
	return func() { _ = unix.IoctlSetTermios(int(f.Fd()), unix.TCSETS, was) }, nil // a terminal that has gone needs nothing any more
}
