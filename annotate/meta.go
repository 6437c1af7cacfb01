// Package annotate takes photos in: it reads what a photo file says about itself, refuses what would harm, turns the picture
// upright and makes the smaller derivatives that pages show. Foreign bytes are never trusted; the comment at the head of ingest.go
// says how they are kept at arm's length.
package annotate

// Format is the kind of picture file, by its content and never by its name.
type Format string

// The formats that are known.
const (
	FormatUnknown Format = ""
	FormatJPEG    Format = "jpeg"
	FormatPNG     Format = "png"
	FormatWebP    Format = "webp"
	FormatHEIC    Format = "heic"
)

// Meta is what was read of a photo file. Unknown values are empty, nil or 0: a value that is out of its range in the file counts
// as unknown. Times are the camera's local time without a zone unless Offset is set.
type Meta struct {
	Format      Format   `json:"format"`
	Width       int      `json:"width"`            // upright, pixels at full size
	Height      int      `json:"height"`           // upright
	Orientation int      `json:"orientation"`      // Exif 1..8, 1 when unknown; a HEIC file turns its picture by itself, so never by this
	Taken       string   `json:"taken,omitempty"`  // "2006-01-02T15:04:05", camera's local time
	Offset      string   `json:"offset,omitempty"` // "+02:00"
	Make        string   `json:"make,omitempty"`
	Model       string   `json:"model,omitempty"`
	FocalMM     float64  `json:"focal_mm,omitempty"`
	Focal35     float64  `json:"focal35_mm,omitempty"` // 35 mm equivalent
	Latitude    *float64 `json:"latitude,omitempty"`
	Longitude   *float64 `json:"longitude,omitempty"`
	Altitude    *float64 `json:"altitude_m,omitempty"`
	Bearing     *float64 `json:"bearing_deg,omitempty"`      // where the camera looked, 0 <= x < 360
	Magnetic    bool     `json:"bearing_magnetic,omitempty"` // Bearing counts from magnetic, not true, north

	// Quality is nil when the picture itself was not opened.
	Quality *Quality `json:"quality,omitempty"`

	Warnings []string `json:"warnings,omitempty"` // sentences a person can read
	Problem  string   `json:"problem,omitempty"`  // why the picture cannot be shown; empty when it can
}
