package survey

import (
	"crypto/sha256"
	"encoding/hex"
	"strings"
	"testing"
	"time"
)

func decision(number int, sum string) Approval {
	return Approval{Survey: "0b0e", Number: number, SHA256: sum, Decision: Approved, Name: "Zoë <Quill>", Consent: "I agree.", Lang: "en", At: time.Date(2026, 6, 4, 9, 30, 0, 120e6, time.UTC),
		Link: "l1", Address: "192.0.2.7", Agent: "A phone"}
}

// TestApprovalSum holds the hash against the canonical JSON written out by hand after RFC 8785: members sorted by name, no space, no escapes but those of JSON.
func TestApprovalSum(t *testing.T) {
	hash := func(text string) string {
		sum := sha256.Sum256([]byte(text))
		return hex.EncodeToString(sum[:])
	}
	a := decision(1, strings.Repeat("a", 64))
	a.Seq = 1
	canonical := `{"address":"192.0.2.7","agent":"A phone","at":"2026-06-04T09:30:00.12Z","consent_sha256":"` + hash("I agree.") + `","decision":"approved","lang":"en","link":"l1","name":"Zoë <Quill>","prev":"","reason":"","revision":1,"seq":1,"sha256":"` +
		strings.Repeat("a", 64) + `","signature_sha256":"` + hash("") + `","survey":"0b0e","with":""}`
	if got, err := a.Sum(); err != nil || got != hash(canonical) {
		t.Errorf("got %s, %v, want the sum of %s", got, err, canonical)
	}
}

// chain is three decisions about three revisions.
func chain(t *testing.T) ([]Approval, []Revision) {
	t.Helper()
	var made []Approval
	var issued []Revision
	for n := 1; n <= 3; n++ {
		v := NextRevision("0b0e", issued)
		v.SHA256 = strings.Repeat(string(rune('a'+n)), 64)
		issued = append(issued, v)
		a := decision(n, v.SHA256)
		if n == 2 {
			a.Decision, a.Reason = Declined, "too dear"
		}
		a, err := NextApproval(a, made)
		if err != nil {
			t.Fatal(err)
		}
		made = append(made, a)
	}
	return made, issued
}

// TestForgedDecisionsAreFound changes each field of each decision, and the chain; also where the forger sums the changed one up anew.
func TestForgedDecisionsAreFound(t *testing.T) {
	made, issued := chain(t)
	if err := CheckApprovals(made, issued); err != nil {
		t.Fatal(err)
	}
	forge := map[string]func(a *Approval){
		"survey": func(a *Approval) { a.Survey = "other" }, "seq": func(a *Approval) { a.Seq++ }, "number": func(a *Approval) { a.Number = a.Number%3 + 1 },
		"content": func(a *Approval) { a.SHA256 = strings.Repeat("0", 64) }, "decision": func(a *Approval) {
			a.Decision = map[Decision]Decision{Approved: Declined, Declined: Approved}[a.Decision]
		},
		"name": func(a *Approval) { a.Name += "e" }, "reason": func(a *Approval) { a.Reason += "e" }, "consent": func(a *Approval) { a.Consent += "e" }, "lang": func(a *Approval) { a.Lang = "es" },
		"time": func(a *Approval) { a.At = a.At.Add(time.Millisecond) }, "link": func(a *Approval) { a.Link = "l2" }, "with": func(a *Approval) { a.With = "Eve" },
		"address": func(a *Approval) { a.Address += "0" }, "agent": func(a *Approval) { a.Agent += "0" }, "signature": func(a *Approval) { a.Signature = "[[[1,1]]]" },
		"prev": func(a *Approval) { a.Prev = strings.Repeat("0", 64) }, "hash": func(a *Approval) { a.Hash = strings.Repeat("0", 64) },
	}
	for i := range made {
		for name, change := range forge {
			bad := append([]Approval{}, made...)
			change(&bad[i])
			if err := CheckApprovals(bad, issued); KindOf(err) != Invalid {
				t.Errorf("the %s of decision %d: got %v", name, i+1, err)
			}
			if i == len(made)-1 || name == "hash" {
				continue // the newest, summed up anew, is found by its receipt alone
			}
			bad[i].Hash, _ = bad[i].Sum()
			if err := CheckApprovals(bad, issued); KindOf(err) != Invalid {
				t.Errorf("the %s of decision %d with a new sum: got %v", name, i+1, err)
			}
		}
	}
	for name, bad := range map[string][]Approval{"the first is gone": made[1:], "the second is gone": {made[0], made[2]}, "another order": {made[1], made[0], made[2]}, "twice": {made[0], made[0]}} {
		if err := CheckApprovals(bad, issued); KindOf(err) != Invalid {
			t.Errorf("%s: got %v", name, err)
		}
	}
	if err := CheckApprovals(made, issued[:2]); KindOf(err) != Invalid {
		t.Errorf("without its revision: got %v", err)
	}
}

func TestCheckDecidable(t *testing.T) {
	made, issued := chain(t)
	stopped := append([]Revision{}, issued...)
	stopped[2].Although = "the flue is moved on Monday"
	for name, c := range map[string]struct {
		number int
		sum    string
		issued []Revision
		made   []Approval
		want   Kind
	}{
		"newest": {3, issued[2].SHA256, issued, made[:2], -1}, "decided": {3, issued[2].SHA256, issued, made, Conflict}, "older": {1, issued[0].SHA256, issued, nil, Conflict},
		"none": {4, issued[2].SHA256, issued, nil, NotFound}, "zero": {0, "", issued, nil, NotFound}, "stopped": {3, issued[2].SHA256, stopped, nil, Conflict}, "another content": {3, issued[1].SHA256, issued, nil, Conflict},
	} {
		err := CheckDecidable(c.number, c.sum, c.issued, c.made)
		if (err == nil) != (c.want == -1) || err != nil && KindOf(err) != c.want {
			t.Errorf("%s: got %v", name, err)
		}
	}
	if a, ok := NewestApproved(made); !ok || a.Number != 3 {
		t.Errorf("newest approved: %+v, %t", a, ok)
	}
	if a, ok := NewestApproved(made[:2]); !ok || a.Number != 1 {
		t.Errorf("a decline takes no approval's place: %+v, %t", a, ok)
	}
	if _, ok := NewestApproved(made[1:2]); ok {
		t.Error("a decline is taken for an approval")
	}
}

func TestReadStrokes(t *testing.T) {
	for text, want := range map[string]bool{
		"": true, "[]": true, "[[[0,0],[600,200]]]": true, "[[[1,2]],[[3,4],[5,6]]]": true, "[[]]": false, "[[[601,0]]]": false, "[[[0,201]]]": false, "[[[-1,0]]]": false, "[[[1.5,2]]]": false,
		"nonsense": false, `[[["1",2]]]`: false, "[" + strings.Repeat("[[1,1]],", 4000) + "[[1,1]]]": false, "[[[1,1]]] x": false,
	} {
		if _, err := ReadStrokes(text); (err == nil) != want {
			t.Errorf("%.30s: got %v", text, err)
		}
	}
}
