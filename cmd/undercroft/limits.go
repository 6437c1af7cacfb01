package main

import (
	"fmt"
	"io"
	"text/tabwriter"

	"undercroft/survey/web"
)

// limits lists what serving is held to: by this command first, then by the server.
func limits() []web.Limit {
	return append([]web.Limit{
		{Name: "connections at once", Value: fmt.Sprint(maxConnections)},
		{Name: "time to finish when told to stop", Value: shutdownGrace.String()},
		{Name: "opening one photo", Value: fmt.Sprintf("%s of processor time, %s in all, %d MiB, in a process of its own", photoWork, photoTimeout, photoMemory>>20)},
	}, web.Limits()...)
}

// printLimits prints them below the flags.
func printLimits(out io.Writer) {
	fmt.Fprint(out, "\nLimits:\n")
	table := tabwriter.NewWriter(out, 0, 0, 2, ' ', 0)
	for _, l := range limits() {
		fmt.Fprintf(table, "  %s\t%s\n", l.Name, l.Value)
	}
	_ = table.Flush() // standard output that is gone is nobody's loss
}
