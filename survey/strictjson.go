package survey

import (
	"bytes"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"strings"
	"unicode"
	"unicode/utf8"
)

// maxJSONDepth is how deep a document may nest; the deepest of ours, a revision's content, nests a dozen levels.
const maxJSONDepth = 64

// CheckJSON looks for what a JSON decoder lets pass and two readers could take for two different documents (RFC 8259, sections 4 and 8.1; ASVS 5.0.0, 1.5.3):
// bytes that are not UTF-8, one key twice in an object, also in another case, since the decoder takes either for the other; nesting deeper than 64 levels;
// anything after the value. What it says names the place by its byte and is safe to show.
func CheckJSON(text []byte) error {
	if !utf8.Valid(text) {
		return errors.New("it is not UTF-8 text")
	}
	decoder := json.NewDecoder(bytes.NewReader(text))
	decoder.UseNumber()
	if err := checkJSONValue(decoder, 0); err != nil {
		return err
	}
	if _, err := decoder.Token(); !errors.Is(err, io.EOF) {
		return fmt.Errorf("there is something after its end, from byte %d on", decoder.InputOffset())
	}
	return nil
}

func checkJSONValue(decoder *json.Decoder, depth int) error {
	if depth > maxJSONDepth {
		return fmt.Errorf("it nests deeper than %d levels", maxJSONDepth)
	}
	token, err := jsonToken(decoder)
	if err != nil {
		return err
	}
	open, nested := token.(json.Delim)
	if !nested {
		return nil
	}
	keys := map[string]bool{}
	for decoder.More() {
		if open == '{' {
			if err := checkJSONKey(decoder, keys); err != nil {
				return err
			}
		}
		if err := checkJSONValue(decoder, depth+1); err != nil {
			return err
		}
	}
	_, err = jsonToken(decoder)
	return err
}

func checkJSONKey(decoder *json.Decoder, keys map[string]bool) error {
	token, err := jsonToken(decoder)
	if err != nil {
		return err
	}
	key, _ := token.(string)
	if key = foldedKey(key); keys[key] {
		return fmt.Errorf("a key is there twice in one object, before byte %d", decoder.InputOffset())
	}
	keys[key] = true
	return nil
}

// foldedKey is the same for all keys that the decoder takes for one another: those that differ in case alone, as Unicode folds it.
func foldedKey(key string) string {
	return strings.Map(func(r rune) rune {
		least := r
		for other := unicode.SimpleFold(r); other != r; other = unicode.SimpleFold(other) {
			least = min(least, other)
		}
		return least
	}, key)
}

func jsonToken(decoder *json.Decoder) (json.Token, error) {
	token, err := decoder.Token()
	switch {
	case err == nil:
		return token, nil
	case errors.Is(err, io.EOF), errors.Is(err, io.ErrUnexpectedEOF):
		return nil, errors.New("it ends too early")
	}
	return nil, fmt.Errorf("it is no JSON near byte %d", decoder.InputOffset())
}
