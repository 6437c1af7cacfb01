package web

import (
	"fmt"
	"net/http"

	"github.com/klauspost/compress/gzhttp"
)

// smallest is the shortest answer in bytes that is worth compressing: what fits into one packet anyway is sent as it is.
const smallest = 1024

// compressor makes what is text smaller on the wire; photos and PDF are sent as they are. The lengths of answers get a random tail of up to 32 bytes, so
// that a page's length tells nobody what stands in it.
func compressor() (func(http.Handler) http.HandlerFunc, error) {
	wrap, err := gzhttp.NewWrapper(gzhttp.MinSize(smallest), gzhttp.RandomJitter(32, 0, false),
		gzhttp.ContentTypes([]string{"text/html", "text/css", "text/javascript", "text/csv", "image/svg+xml", "application/json", "application/problem+json"}))
	if err != nil {
		return nil, fmt.Errorf("set up compression: %w", err)
	}
	return wrap, nil
}
