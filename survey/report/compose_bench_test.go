package report

import (
	"bytes"
	"testing"

	"undercroft/calc/words"
	"undercroft/survey"
	"undercroft/survey/report/document"
)

// BenchmarkReport is the demo's report for the crew from the record: the model, the document with every sheet drawn, the file without its pictures.
func BenchmarkReport(b *testing.B) {
	r := demoRecord(b)
	c := survey.Compute(r)
	jpg := []byte("jpeg")
	for _, step := range []string{"build", "document", "html"} {
		b.Run(step, func(b *testing.B) {
			b.ReportAllocs()
			m := Build(r, c, WithinReport(), made())
			doc := m.Document(document.Crew, words.English, Options{})
			for b.Loop() {
				switch step {
				case "build":
					m = Build(r, c, WithinReport(), made())
				case "document":
					doc = m.Document(document.Crew, words.English, Options{})
				case "html":
					var out bytes.Buffer
					if err := WriteHTML(&out, doc, "letter", func(string) ([]byte, error) { return jpg, nil }); err != nil {
						b.Fatal(err)
					}
				}
			}
		})
	}
}
