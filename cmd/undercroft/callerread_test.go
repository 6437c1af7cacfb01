package main

import (
	"encoding/json"
	"fmt"
	"net/http"
	"strconv"
)

// readAnswer reads the JSON of an answer unless there was an error before.
func readAnswer(body []byte, into any, err error) error {
	if err != nil {
		return err
	}
	if err := json.Unmarshal(body, into); err != nil {
		return wrongAnswer(fmt.Sprintf("%v: %.300s", err, body))
	}
	return nil
}

// wants is err, or that what was answered is wrong.
func (c *caller) wants(err error, ok bool, format string, args ...any) error {
	if err == nil && !ok {
		return wrongAnswer(fmt.Sprintf(format, args...))
	}
	return err
}

// arrived asks how much of a photo has come in pieces.
func (c *caller) arrived(in, id string) (int64, error) {
	status, header, _, err := c.call(http.MethodHead, "/api/surveys/"+in+"/photos/"+id+"/upload", nil, nil, http.StatusNoContent, http.StatusNotFound)
	if err != nil || status == http.StatusNotFound {
		return 0, err
	}
	return strconv.ParseInt(header.Get("Upload-Offset"), 10, 64)
}

// readRevisions counts the revisions of a survey up to one more than there may be, and reads the reports that were seen before.
func (c *caller) readRevisions(seen, most *ledger) error {
	for number := 1; ; number++ {
		status, _, _, err := c.call(http.MethodGet, fmt.Sprintf("/surveys/%s/revisions/%d", most.ID, number), nil, nil, http.StatusOK, http.StatusNotFound)
		if err != nil {
			return err
		}
		if status == http.StatusNotFound {
			break
		}
		seen.Revisions = number
	}
	for number := range most.Reports {
		_, _, page, err := c.call(http.MethodGet, reportPath(most.ID, number), nil, nil, http.StatusOK)
		if err != nil {
			return err
		}
		seen.Reports[number] = sumOf(page)
	}
	return nil
}
