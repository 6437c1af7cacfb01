package report

import (
	"strings"

	"undercroft/calc/words"
	"undercroft/survey/report/document"
)

// said are the texts of the tables in the crew's frozen report by the same ones in English, which is laid out alike.
func (c Content) said(lang words.Lang) map[string]string {
	var pair [2]document.Document
	for _, d := range c.Documents {
		if d.Reader == document.Crew && !d.Metric {
			if d.Lang == string(words.English) {
				pair[0] = d
			}
			if d.Lang == string(lang) {
				pair[1] = d
			}
		}
	}
	var texts [2][]string
	for i, d := range pair {
		for _, b := range d.Blocks {
			if b.Table == nil {
				continue
			}
			for _, r := range b.Table.Rows {
				for _, cell := range r.Cells {
					for _, l := range cell.Lines {
						texts[i] = append(texts[i], lineText(l))
					}
				}
			}
		}
	}
	out := map[string]string{}
	if len(texts[0]) == len(texts[1]) {
		for i, text := range texts[0] {
			out[text] = texts[1][i]
		}
	}
	return out
}

// lineText is a line without its styles.
func lineText(l document.Line) string {
	var b strings.Builder
	for _, s := range l {
		b.WriteString(s.Text)
	}
	return b.String()
}
