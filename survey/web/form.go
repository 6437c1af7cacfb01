package web

import (
	"fmt"
	"mime"
	"net/url"
	"strings"
	"unicode"

	"github.com/gin-gonic/gin"

	"undercroft/survey"
)

// The prefixes of a form's controls: what was typed, the saved text it was made from, the choice between one's own and another
// person's value, and that this choice was asked for.
const (
	fieldPrefix = "f."
	wasPrefix   = "was."
	pickPrefix  = "pick."
	askPrefix   = "ask."
	rightPrefix = "right." // and the control's name: the length that was said to be right
	pickMine    = "mine"
	pickTheirs  = "theirs"
)

// typedForm is a form of fields as it was sent, by field key. A field that was not sent is in none of the maps.
type typedForm struct {
	text, was, pick map[string]string
	right           map[string]string // lengths that were said to be right, however unlikely
	asked           map[string]bool   // fields about which the form asked whose value stands
	button          string            // the choice of a button that settles two sources, "key=choice"
	id              string
}

// readForm reads a plain form. Too much is a *http.MaxBytesError, anything else that is no form is errUnreadable.
func readForm(c *gin.Context) (typedForm, error) {
	form := typedFrom(nil)
	media, _, err := mime.ParseMediaType(c.ContentType())
	if err != nil || media != "application/x-www-form-urlencoded" {
		return form, fmt.Errorf("%w: the content is no form", errUnreadable)
	}
	if err := c.Request.ParseForm(); err != nil {
		return form, fmt.Errorf("%w: %w", errUnreadable, err)
	}
	return typedFrom(c.Request.PostForm), nil
}

// typedFrom sorts what was sent by the prefixes of its controls.
func typedFrom(sent url.Values) typedForm {
	form := typedForm{text: map[string]string{}, was: map[string]string{}, pick: map[string]string{}, right: map[string]string{}, asked: map[string]bool{}}
	for name, values := range sent {
		text := cleanText(values[0])
		if key, ok := strings.CutPrefix(name, fieldPrefix); ok {
			form.text[key] = text
		} else if key, ok := strings.CutPrefix(name, wasPrefix); ok {
			form.was[key] = text
		} else if key, ok := strings.CutPrefix(name, pickPrefix); ok {
			form.pick[key] = text
		} else if key, ok := strings.CutPrefix(name, rightPrefix+fieldPrefix); ok {
			form.right[key] = text
		} else if key, ok := strings.CutPrefix(name, askPrefix); ok {
			form.asked[key] = true
		}
	}
	form.button, form.id = sent.Get("settle"), sent.Get("id")
	return form
}

// cleanText trims a text and takes out what does not print: control characters but the line's end, marks that turn the reading direction,
// and broken UTF-8.
func cleanText(text string) string {
	text = strings.ReplaceAll(strings.ToValidUTF8(text, "\uFFFD"), "\r\n", "\n")
	return strings.TrimSpace(strings.Map(func(r rune) rune {
		switch {
		case r == '\n':
			return r
		case r == '\t' || r == '\r':
			return ' '
		case unicode.IsControl(r), r >= 0x202a && r <= 0x202e, r >= 0x2066 && r <= 0x2069:
			return -1
		}
		return r
	}, text))
}

// merge finds what a person changed, field by field, against what is saved now: changes are the texts to save, clashes the fields that
// someone else has changed meanwhile and about which the person has not chosen yet. A field that the person left alone keeps what is
// saved.
func (f typedForm) merge(fields []survey.Field, saved func(key string) string) (changes map[string]string, clashes map[string]bool) {
	changes, clashes = map[string]string{}, map[string]bool{}
	for _, field := range fields {
		text, sent := f.text[field.Key]
		was, now := f.was[field.Key], saved(field.Key)
		switch {
		case !sent || text == now || f.leaves(field.Key):
		case was == now && (!f.asked[field.Key] || f.pick[field.Key] == pickMine):
			changes[field.Key] = text
		default:
			clashes[field.Key] = true
		}
	}
	return changes, clashes
}

// leaves tells whether the person left a sent field alone, or chose what the other one wrote.
func (f typedForm) leaves(key string) bool {
	if f.asked[key] {
		return f.pick[key] == pickTheirs
	}
	return f.text[key] == f.was[key]
}

// shown is the text that a form shows again for a field: what was typed, unless the person left the field alone or chose the other value.
func (f typedForm) shown(key, saved string) string {
	text, sent := f.text[key]
	if !sent || f.leaves(key) {
		return saved
	}
	return text
}

// view fills a field's view with the form's text and the saved one.
func (f typedForm) view(v fieldView, saved, when string, problem string, clash bool) fieldView {
	v.Problem = problem
	v.WasName, v.Was = wasPrefix+v.Key, saved
	v.setText(f.shown(v.Key, saved))
	if clash {
		v.Conflict, v.PickName, v.AskName, v.Pick, v.TheirsWhen = true, pickPrefix+v.Key, askPrefix+v.Key, f.pick[v.Key], when
		v.TextLabel, v.WasLabel = label(v.Field, v.Text), label(v.Field, saved)
	}
	return v
}

// problems lists the fields of a form that need another look, in the form's order.
func problems(views []fieldView) []problemField {
	var list []problemField
	for _, v := range views {
		switch {
		case v.Conflict:
			list = append(list, problemField{v.ID, v.Label, "choose which value stands"})
		case v.Check != nil:
			list = append(list, problemField{v.ID, v.Label, v.Check.Head})
		case v.Problem != "":
			list = append(list, problemField{v.ID, v.Label, v.Problem})
		}
	}
	return list
}

// factForm is what a page with one form of facts is made of: the record, and, when the form is shown again, that form with what is wrong with it.
type factForm struct {
	record  survey.Record
	form    *typedForm
	texts   map[string]string // problem by field key
	clashes map[string]bool
	err     error
}
