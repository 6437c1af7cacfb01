package web

import (
	"encoding/json"
	"errors"
	"fmt"
	"net/http"
	"net/http/httptest"
	"net/url"
	"strings"
	"testing"

	"undercroft/survey"
)

// TestTheLogHoldsNothingPersonal does what people do with a word of its own in everything that they may type or send, rightly and wrongly, and looks for each in the log: names, addresses,
// notes, captions, file names, passwords, cookies, tokens of links, queries, headers, keys and values of forms and documents, the network's address. Each line of the log is one JSON document that
// names its request.
func TestTheLogHoldsNothingPersonal(t *testing.T) {
	w := newSite(t)
	canaries := map[string]bool{}
	word := func(what string) string {
		text := "canary" + what
		canaries[text] = true
		return text
	}
	v := w.survey(word("title"))
	home, api := surveyPath(v.ID), "/api/surveys/"+string(v.ID)
	office := w.session(w.person("Canaryname Vance", survey.RoleOffice))
	canaries["Canaryname"], canaries[office.Value] = true, true
	form := func(path string, pairs ...string) answer {
		values := url.Values{}
		for i := 0; i+1 < len(pairs); i += 2 {
			values.Set(pairs[i], pairs[i+1])
		}
		return w.as(office, http.MethodPost, path, values.Encode(), "Content-Type", "application/x-www-form-urlencoded", "User-Agent", word("agent"), "Referer", "http://example.com/"+word("referer"))
	}
	document := func(path, body string) answer {
		return w.as(office, http.MethodPut, path, body, "Content-Type", "application/json")
	}
	photo := survey.NewID()
	w.as(office, http.MethodPut, photoAPI(v.ID, photo), string(gradient(t)), "X-Photo-Name", word("file")+".jpg").wants(http.StatusCreated)
	w.as(office, http.MethodPut, photoAPI(v.ID, photo), "other bytes", "X-Photo-Name", word("other")+".jpg").wants(http.StatusConflict)
	w.as(office, http.MethodPatch, photoAPI(v.ID, survey.NewID())+"/upload?name="+word("piece")+"&caption="+word("caption"), "x", "Upload-Offset", word("offset"), "Content-Type", pieceType).wants(http.StatusBadRequest)
	form(home+"/site", "f.title", word("newtitle"), "was.title", v.Title, "f.address", word("street"), "f.visit_date", word("date"), word("key"), "x")
	form(home+"/deck", "f.width", word("width"), "f."+word("fact"), "x")
	form(home+"/photos/"+photo, "version", word("version"), "caption", word("photo")).wants(http.StatusBadRequest)
	document(api+"/facts", `{"facts":[{"key":"`+word("factkey")+`","text":"`+word("text")+`","version":0},{"key":"width","text":"`+word("feet")+`"}]}`).wants(http.StatusUnprocessableEntity)
	document(api+"/facts", `{"`+word("field")+`":1}`).wants(http.StatusBadRequest)
	document(api+"/pins/"+survey.NewID(), `{"photo":"`+word("where")+`","kind":"`+word("kind")+`","x":0.5,"y":0.5,"note":"`+word("note")+`"}`)
	document(api+"/pins/"+word("pin"), `{}`)
	w.as(office, http.MethodGet, "/surveys?q="+word("query"), "").wants(http.StatusOK)
	w.as(office, http.MethodGet, "/"+word("path")+"/x", "").wants(http.StatusNotFound)
	w.as(office, word("METHOD"), "/surveys", "").wants(http.StatusMethodNotAllowed)
	w.as(office, http.MethodGet, "/surveys", "", "X-Request-Id", word("id"), "X-Forwarded-For", "203.0.113.77")
	w.as(nil, http.MethodGet, "/s/"+word("token"), "")
	w.signIn(word("signin"), word("password")).wants(http.StatusUnauthorized)
	w.signIn("Canaryname Vance", longPassword).wants(http.StatusSeeOther)
	w.as(nil, http.MethodPost, home+"/site", "f.notes="+word("carried"), "Content-Type", "application/x-www-form-urlencoded").wants(http.StatusUnauthorized)
	panics := httptest.NewRecorder()
	w.server.observe(http.HandlerFunc(func(http.ResponseWriter, *http.Request) { panic(errors.New("inside")) })).ServeHTTP(panics, httptest.NewRequest(http.MethodGet, "/?"+word("panic"), nil))

	log := w.log.String()
	canaries["192.0.2.1"], canaries["203.0.113.77"], canaries[longPassword] = true, true, true // httptest's client, and a proxy's
	for text := range canaries {
		if strings.Contains(strings.ToLower(log), strings.ToLower(text)) {
			t.Errorf("the log contains %q", text)
		}
	}
	lines := strings.Split(strings.TrimSpace(log), "\n")
	if len(lines) < 20 {
		t.Fatalf("only %d lines", len(lines))
	}
	for _, line := range lines {
		var fields map[string]any
		if err := json.Unmarshal([]byte(line), &fields); err != nil {
			t.Errorf("%v in %s", err, line)
		}
		if id, _ := fields["request"].(string); len(id) < 20 {
			t.Errorf("a line without its request: %s", line)
		}
	}
	for _, want := range []string{`"route":"/surveys/:survey/site"`, `"error":"invalid: `, `"panic":"inside"`} {
		if !strings.Contains(log, want) {
			t.Errorf("the log does not say %s", want)
		}
	}
}

func TestErrorForLog(t *testing.T) {
	for _, c := range []struct {
		err  error
		want string
	}{
		{survey.Errorf(survey.NotFound, "There is no %q.", "Larkmoor"), "not found"},
		{&survey.Error{Kind: survey.Invalid, Message: "Larkmoor", Fields: map[string]string{"width": "x", "Larkmoor house": "x", "rail.height": "x"}}, "invalid: 3 of its fields"},
		{&survey.Error{Kind: survey.NoSpace, Message: "x", Cause: errors.New("write /data/blobs: no space left on device")}, "no space: write /data/blobs: no space left on device"},
		{fmt.Errorf("%w: strconv: %q", errUnreadable, "Larkmoor"), "bad request"},
		{errors.New("read tcp 127.0.0.1:8080->203.0.113.77:51234: i/o timeout"), "read tcp (address)->(address): i/o timeout"},
		{errors.New("read tcp [::1]:8080->[2001:db8::7%eth0]:51234: reset"), "read tcp (address)->(address): reset"},
	} {
		if got := errorForLog(c.err); got != c.want {
			t.Errorf("%v: got %q, want %q", c.err, got, c.want)
		}
	}
	if got := survey.Kind(99).String() + ", " + survey.TooOften.String(); got != "kind 99, too often" {
		t.Errorf("kinds are written %q", got)
	}
}
