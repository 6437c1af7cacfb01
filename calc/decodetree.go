package calc

import (
	"bytes"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"strconv"
	"unicode/utf8"
)

// InputError tells what is wrong with a document and where: Place is the path of the value, such as
// obstructions[3].drop, empty for the document as a whole.
type InputError struct {
	Place  string
	Reason string
}

// Error puts the place first.
func (e *InputError) Error() string {
	if e.Place == "" {
		return e.Reason
	}
	return e.Place + ": " + e.Reason
}

func faultf(place, format string, args ...any) error {
	return &InputError{Place: place, Reason: fmt.Sprintf(format, args...)}
}

// maxDepth is how deep a document may nest; the input's own depth is five.
const maxDepth = 32

// node is one JSON value: exactly one of its kinds, told by the first byte of its text. Objects keep their members in order.
type node struct {
	kind  byte // '{', '[', '"', '0', 't' (true, false) or 'n' (null)
	text  string
	keys  []string
	items []node
}

// name says what kind of value it is, for error messages.
func (n node) name() string {
	switch n.kind {
	case '{':
		return "an object"
	case '[':
		return "a list"
	case '"':
		return "the text " + strconv.Quote(clip(n.text))
	case '0':
		return "the number " + clip(n.text)
	case 't':
		return n.text
	}
	return "null"
}

// clip shortens text for a message.
func clip(s string) string {
	if len(s) <= 40 {
		return s
	}
	cut := 40
	for cut > 0 && !utf8.RuneStart(s[cut]) {
		cut--
	}
	return s[:cut] + "…"
}

// field is a member's value, nil when there is none.
func (n node) field(key string) *node {
	for i, k := range n.keys {
		if k == key {
			return &n.items[i]
		}
	}
	return nil
}

// parseTree reads exactly one JSON value. Repeated keys, deep nesting and anything after the value are errors.
func parseTree(data []byte) (node, error) {
	if !utf8.Valid(data) {
		return node{}, faultf("", "the document is not UTF-8 text")
	}
	d := json.NewDecoder(bytes.NewReader(data))
	d.UseNumber()
	t := &treeReader{Decoder: d}
	n, err := t.value("", 0)
	if err != nil {
		return node{}, err
	}
	if _, err := d.Token(); err != io.EOF {
		return node{}, faultf("", "there is text after the document, from byte %d on", d.InputOffset())
	}
	return n, nil
}

// treeReader builds nodes from tokens and counts them.
type treeReader struct {
	*json.Decoder
	values int
}

// maxValues bounds the values of a document, and so the memory it takes: 100,000 obstructions have 1.2 million.
const maxValues = 2000000

func (t *treeReader) token(place string) (json.Token, error) {
	tok, err := t.Token()
	switch {
	case err == nil:
		return tok, nil
	case errors.Is(err, io.EOF), errors.Is(err, io.ErrUnexpectedEOF):
		return nil, faultf(place, "the document ends too early")
	}
	return nil, faultf(place, "not JSON near byte %d: %v", t.InputOffset(), err)
}

func (t *treeReader) value(place string, depth int) (node, error) {
	if depth > maxDepth {
		return node{}, faultf(place, "nested deeper than %d levels", maxDepth)
	}
	if t.values++; t.values > maxValues {
		return node{}, faultf("", "the document has more than %d values", maxValues)
	}
	tok, err := t.token(place)
	if err != nil {
		return node{}, err
	}
	switch v := tok.(type) {
	case json.Delim:
		if v == '{' {
			return t.object(place, depth)
		}
		return t.list(place, depth)
	case string:
		return node{kind: '"', text: v}, nil
	case json.Number:
		return node{kind: '0', text: v.String()}, nil
	case bool:
		return node{kind: 't', text: strconv.FormatBool(v)}, nil
	}
	return node{kind: 'n'}, nil
}

func (t *treeReader) object(place string, depth int) (node, error) {
	n := node{kind: '{'}
	for t.More() {
		tok, err := t.token(place)
		if err != nil {
			return n, err
		}
		key, ok := tok.(string)
		if !ok {
			return n, faultf(place, "not JSON near byte %d", t.InputOffset())
		}
		at := join(place, key)
		if n.field(key) != nil {
			return n, faultf(at, "the key is there twice")
		}
		item, err := t.value(at, depth+1)
		if err != nil {
			return n, err
		}
		n.keys, n.items = append(n.keys, key), append(n.items, item)
		if len(n.keys) > maxKeys {
			return n, faultf(place, "has more than %d keys", maxKeys)
		}
	}
	_, err := t.token(place)
	return n, err
}

// maxKeys bounds the keys of one object, far above the profile's own number.
const maxKeys = 1000

func (t *treeReader) list(place string, depth int) (node, error) {
	n := node{kind: '['}
	for t.More() {
		item, err := t.value(place+"["+strconv.Itoa(len(n.items))+"]", depth+1)
		if err != nil {
			return n, err
		}
		n.items = append(n.items, item)
	}
	_, err := t.token(place)
	return n, err
}

// join is the path of a member.
func join(place, key string) string {
	if place == "" {
		return clip(key)
	}
	return place + "." + clip(key)
}
