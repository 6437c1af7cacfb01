package main

import (
	"context"
	"encoding/json"
	"errors"
	"flag"
	"fmt"
	"io"
	"os"
	"path/filepath"
	"strconv"
	"strings"
	"text/tabwriter"
	"time"

	"undercroft/annotate"
)

const photoUsage = `Usage: undercroft photo [--json] [--out DIR] [--timeout DURATION] FILE...

Reads what photo files say of themselves (size, time, camera, position) and whether their pictures can be opened, the way
an upload does. JPEG, PNG and WebP files can be shown; HEIC files are read, but not shown.

  --json              one JSON object a line instead of a table
  --out DIR           also write the upright pictures that pages show, screen.jpg (at most 1600 pixels a side) and
                      thumb.jpg (320), without any of the camera's notes; with several FILEs into DIR/1, DIR/2 and so on
  --timeout DURATION  give up on a picture after this time (default 20s)

Exit status: 0 when every picture could be opened, 1 when some could not, 2 when the command was not understood.

Example: undercroft photo --json --out pictures IMG_0001.JPG

The server runs "undercroft photo --worker" for each upload, in a process of its own with limits on memory and time.
`

// photoOptions is what the command line of "undercroft photo" says.
type photoOptions struct {
	asJSON  bool
	out     string
	timeout time.Duration
	files   []string
}

// runPhoto is the command "undercroft photo": it reads photo files and prints what it found. It returns the exit status: 0 when
// every picture could be opened, 1 when some could not, 2 for a command line that is not understood.
func runPhoto(args []string, stdout, stderr io.Writer) int {
	if len(args) > 0 && (args[0] == "-worker" || args[0] == "--worker") {
		return annotate.RunWorker(args[1:], stdout, stderr)
	}
	opt, err := parsePhoto(args)
	switch {
	case errors.Is(err, flag.ErrHelp):
		fmt.Fprint(stdout, photoUsage)
		return 0
	case err != nil:
		fmt.Fprintf(stderr, "undercroft photo: %v\n\n%s", err, photoUsage)
		return 2
	}
	status := 0
	for i := range opt.files {
		if !opt.one(i, stdout, stderr) {
			status = 1
		}
	}
	return status
}

func parsePhoto(args []string) (photoOptions, error) {
	var opt photoOptions
	flags := flag.NewFlagSet("photo", flag.ContinueOnError)
	flags.SetOutput(io.Discard)
	flags.BoolVar(&opt.asJSON, "json", false, "")
	flags.StringVar(&opt.out, "out", "", "")
	flags.DurationVar(&opt.timeout, "timeout", annotate.DefaultTimeout, "")
	if err := flags.Parse(args); err != nil {
		return opt, err
	}
	opt.files = flags.Args()
	switch {
	case len(opt.files) == 0:
		return opt, errors.New("no FILE given")
	case opt.timeout <= 0:
		return opt, errors.New("--timeout must be more than 0")
	}
	return opt, nil
}

// photoLine is one line of --json.
type photoLine struct {
	File string `json:"file"`
	annotate.Result
	Error string `json:"error,omitempty"` // the file itself could not be read or a picture not be written
}

// one reads file number i and prints it; it reports whether the picture could be opened.
func (o photoOptions) one(i int, stdout, stderr io.Writer) bool {
	line := photoLine{File: o.files[i]}
	var err error
	line.Result, err = o.read(i)
	if err != nil {
		line.Error = err.Error()
	}
	var printErr error
	switch {
	case o.asJSON:
		printErr = json.NewEncoder(stdout).Encode(line)
	case err != nil:
		fmt.Fprintf(stderr, "undercroft photo: %s: %v\n", o.files[i], err)
	default:
		printErr = printPhoto(stdout, line)
	}
	if printErr != nil {
		fmt.Fprintf(stderr, "undercroft photo: print: %v\n", printErr)
	}
	return err == nil && printErr == nil && line.Meta.Problem == ""
}

// read takes in file number i, into its folder or into one that is removed again.
func (o photoOptions) read(i int) (annotate.Result, error) {
	ctx, cancel := context.WithTimeout(context.Background(), o.timeout)
	defer cancel()
	if o.out == "" {
		dir, err := os.MkdirTemp("", "undercroft-photo-")
		if err != nil {
			return annotate.Result{}, err
		}
		res, err := annotate.Make(ctx, o.files[i], dir)
		res.Screen, res.Thumb = "", ""
		return res, errors.Join(err, os.RemoveAll(dir))
	}
	dir := o.out
	if len(o.files) > 1 {
		dir = filepath.Join(dir, strconv.Itoa(i+1))
	}
	if err := os.MkdirAll(dir, 0o755); err != nil { // #nosec G301 -- the folder that the user named, as mkdir makes it
		return annotate.Result{}, err
	}
	return annotate.Make(ctx, o.files[i], dir)
}

// printPhoto prints the table of one photo; what is unknown is left out.
func printPhoto(w io.Writer, line photoLine) error {
	fmt.Fprintln(w, line.File)
	table := tabwriter.NewWriter(w, 0, 0, 2, ' ', 0)
	for _, row := range photoRows(line) {
		if row[1] != "" {
			fmt.Fprintf(table, "  %s\t%s\n", row[0], row[1])
		}
	}
	return table.Flush()
}

func photoRows(line photoLine) [][2]string {
	m := line.Meta
	rows := [][2]string{
		{"format", string(m.Format)},
		{"size", known(m.Width > 0, "%d x %d pixels, upright", m.Width, m.Height)},
		{"stored as", known(m.Orientation != 1, "orientation %d", m.Orientation)},
		{"taken", strings.TrimSpace(strings.Replace(m.Taken, "T", " ", 1) + " " + m.Offset)},
		{"camera", camera(m)},
		{"focal length", known(m.FocalMM > 0, "%.4g mm", m.FocalMM)},
		{"as 35 mm film", known(m.Focal35 > 0, "%.4g mm", m.Focal35)},
	}
	if m.Latitude != nil {
		rows = append(rows, [2]string{"position", fmt.Sprintf("%.6f, %.6f", *m.Latitude, *m.Longitude)})
	}
	if m.Altitude != nil {
		rows = append(rows, [2]string{"altitude", fmt.Sprintf("%.1f m", *m.Altitude)})
	}
	if m.Bearing != nil {
		north := "true"
		if m.Magnetic {
			north = "magnetic"
		}
		rows = append(rows, [2]string{"looking", fmt.Sprintf("%.1f degrees from %s north", *m.Bearing, north)})
	}
	if q := m.Quality; q != nil {
		rows = append(rows, [2]string{"quality", fmt.Sprintf("sharpness %.0f, mean brightness %.0f of 255", q.Sharpness, q.Mean)})
	}
	for _, text := range m.Warnings {
		rows = append(rows, [2]string{"note", text})
	}
	return append(rows, [2]string{"PROBLEM", m.Problem}, [2]string{"screen", line.Screen}, [2]string{"thumb", line.Thumb})
}

// camera is the make and the model, which often begins with the make.
func camera(m annotate.Meta) string {
	brand, _, _ := strings.Cut(m.Make, " ")
	if strings.HasPrefix(strings.ToLower(m.Model), strings.ToLower(brand)) {
		return m.Model
	}
	return strings.TrimSpace(m.Make + " " + m.Model)
}

// known formats values that are known, else "".
func known(ok bool, format string, values ...any) string {
	if !ok {
		return ""
	}
	return fmt.Sprintf(format, values...)
}
