package web

import (
	"net/http"
	"strings"

	"github.com/gin-gonic/gin"

	"undercroft/survey"
)

// lengthAnswer says how a text reads: Read with the Exact value beside it, or the Problem, or, for an empty text, what is accepted.
type lengthAnswer struct {
	Read    string `json:"read,omitempty"`
	Exact   string `json:"exact,omitempty"`
	Problem string `json:"problem,omitempty"`
	Accepts string `json:"accepts,omitempty"`

	Check *lengthCheck `json:"check,omitempty"` // the question about a length that does not suit what it names
}

// lengthCheck is such a question, with the words that let the length stand and the lengths that were probably meant.
type lengthCheck struct {
	Head string      `json:"head"`
	Why  string      `json:"why"`
	Keep string      `json:"keep"`
	Ways []lengthWay `json:"ways,omitempty"`
}

// lengthWay is one length, as it is typed and as it reads.
type lengthWay struct {
	Text string `json:"text"`
	Read string `json:"read"`
}

// readLength reads a text as the field named by key would. It changes nothing.
func (s *Server) readLength(c *gin.Context) error {
	v := newFieldView(lookupField(c.Query("key")).As(c.Query("names")), "", "x")
	v.setText(cleanText(c.Query("text")))
	answer := lengthAnswer{Read: v.Read, Exact: v.Exact, Problem: v.Problem}
	if q, ok := survey.Question(v.Field, v.Text); ok {
		answer.Check = &lengthCheck{Head: q.Head, Why: q.Why, Keep: "Keep " + q.Reads}
		for _, way := range q.Ways {
			answer.Check.Ways = append(answer.Check.Ways, lengthWay{way.String(), way.Typeset()})
		}
	}
	if answer.Read == "" && answer.Problem == "" {
		answer.Accepts = v.Accepts
	}
	return sendJSON(c, http.StatusOK, answer)
}

// lookupField finds a field by the key of a fact, or by "pin.kind.field" for a pin's; any other key is a plain length. Sides of a deck
// all ask the same.
func lookupField(key string) survey.Field {
	plain := survey.Field{Key: key, Label: "Length", Type: survey.TypePosition}
	if rest, ok := strings.CutPrefix(key, "pin."); ok {
		kind, name, _ := strings.Cut(rest, ".")
		info, _ := survey.KindInfo(survey.PinKind(kind))
		for _, f := range info.Fields {
			if f.Key == name {
				return f
			}
		}
		return plain
	}
	if rest, ok := strings.CutPrefix(key, "edge."); ok {
		if _, name, ok := strings.Cut(rest, "."); ok {
			key = "edge.0." + name
		}
	}
	if f, ok := survey.FactField(survey.Record{}, key); ok {
		return f
	}
	return plain
}
