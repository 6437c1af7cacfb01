package web

import (
	"slices"
	"sync"

	"undercroft/survey/report"
)

// mostThawed is how many revisions are kept read: one takes about 15 MB.
const mostThawed = 3

// thawed keeps the revisions that were last read, by the sum of their bytes: a homeowner's page asks for the same one with each of its pictures. What is kept is only read.
type thawed struct {
	mu   sync.Mutex
	kept []thawedContent // the last used first
}

type thawedContent struct {
	sum     string
	content report.Content
}

// read gives the content of bytes that have this sum. Several that ask at once for one that is not kept each read it.
func (t *thawed) read(sum string, body []byte) (report.Content, error) {
	if c, ok := t.find(sum); ok {
		return c, nil
	}
	c, err := report.Thaw(body)
	if err == nil {
		t.keep(sum, c)
	}
	return c, err
}

func (t *thawed) find(sum string) (report.Content, bool) {
	t.mu.Lock()
	defer t.mu.Unlock()
	i := slices.IndexFunc(t.kept, func(k thawedContent) bool { return k.sum == sum })
	if i < 0 {
		return report.Content{}, false
	}
	k := t.kept[i]
	t.kept = slices.Insert(slices.Delete(t.kept, i, i+1), 0, k)
	return k.content, true
}

func (t *thawed) keep(sum string, c report.Content) {
	t.mu.Lock()
	defer t.mu.Unlock()
	t.kept = slices.DeleteFunc(t.kept, func(k thawedContent) bool { return k.sum == sum })
	t.kept = slices.Insert(t.kept, 0, thawedContent{sum, c})
	t.kept = t.kept[:min(len(t.kept), mostThawed)]
}
