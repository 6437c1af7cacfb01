package survey

import (
	"crypto/sha256"
	"encoding/hex"
	"strings"
	"testing"
	"time"
)

// TestSealSum holds a seal's sums against canonical JSON written out by hand after RFC 8785: members sorted by name, no space.
func TestSealSum(t *testing.T) {
	hash := func(text string) string {
		sum := sha256.Sum256([]byte(text))
		return hex.EncodeToString(sum[:])
	}
	v := Revision{Survey: "0b0e", Number: 2, SHA256: strings.Repeat("a", 64), Prev: strings.Repeat("b", 64), By: "Zoë <Quill>", At: time.UnixMilli(1780565400120).UTC()}
	s, err := NextSeal("0b0e", Seal{Seq: 4, Hash: strings.Repeat("c", 64)}, v.Sealed())
	if err != nil {
		t.Fatal(err)
	}
	says := `{"although":"","at":1780565400120,"by":"Zoë <Quill>","prev":"` + v.Prev + `","sha256":"` + v.SHA256 + `"}`
	if s.Sum != hash(says) {
		t.Errorf("the record's sum is not that of %s", says)
	}
	seal := `{"kind":"revision","prev":"` + strings.Repeat("c", 64) + `","record":"2","seq":5,"sum":"` + s.Sum + `","survey":"0b0e"}`
	if s.Hash != hash(seal) || s.Seq != 5 || s.Prev != strings.Repeat("c", 64) {
		t.Errorf("the seal %+v is not that of %s", s, seal)
	}
}

// sealedSnapshot is a survey with a revision, a link that was revoked, and a history, all sealed.
func sealedSnapshot(t *testing.T) Snapshot {
	t.Helper()
	at := time.UnixMilli(1780565400120).UTC()
	v := Snapshot{Record: Record{Survey: Survey{ID: "0b0e"}}, Revisions: []Revision{{Survey: "0b0e", Number: 1, SHA256: strings.Repeat("a", 64), By: "Ana", At: at}},
		Links:   []Link{{ID: "l1", Survey: "0b0e", Number: 1, By: "Ana", At: at, Expires: at.Add(time.Hour), Revoked: at.Add(time.Minute), RevokedBy: "Ben"}},
		History: []Change{{Kind: "survey", ID: "0b0e", What: "create", Version: 1, Row: []byte(`{"id":"0b0e"}`), At: at}, {Kind: "fact", ID: "width", What: "create", Version: 1, Row: []byte(`{"text":"28'"}`), At: at}}}
	var last Seal
	for _, of := range append(SealedRecords(v), HistorySealed(v.History)) {
		s, err := NextSeal("0b0e", last, of)
		if err != nil {
			t.Fatal(err)
		}
		v.Seals, last = append(v.Seals, s), s
	}
	return v
}

// TestCheckSeals: whole as it was made, and with more history since; anything else is named.
func TestCheckSeals(t *testing.T) {
	if err := CheckSeals(sealedSnapshot(t)); err != nil {
		t.Fatal(err)
	}
	longer := sealedSnapshot(t)
	longer.History = append(longer.History, longer.History[1])
	if err := CheckSeals(longer); err != nil {
		t.Errorf("with a later change: %v", err)
	}
	if err := CheckSeals(Snapshot{}); err != nil {
		t.Errorf("nothing at all: %v", err)
	}
	for name, c := range map[string]struct {
		forge func(v *Snapshot)
		says  string
	}{
		"who issued":          {func(v *Snapshot) { v.Revisions[0].By = "Zoë" }, "revision 1 was changed after it was made"},
		"until when":          {func(v *Snapshot) { v.Links[0].Expires = v.Links[0].Expires.Add(time.Millisecond) }, "link l1 was changed"},
		"who revoked":         {func(v *Snapshot) { v.Links[0].RevokedBy = "Ana" }, "link revoked l1 was changed"},
		"not revoked":         {func(v *Snapshot) { v.Links[0].Revoked = time.Time{} }, "link revoked l1 was taken away"},
		"no link":             {func(v *Snapshot) { v.Links = nil }, "was taken away"},
		"another revision":    {func(v *Snapshot) { v.Revisions = append(v.Revisions, Revision{Number: 2}) }, "revision 2 was added"},
		"history of less":     {func(v *Snapshot) { v.History = v.History[1:] }, "taken out of the history"},
		"history of others":   {func(v *Snapshot) { v.History[1].By = "Zoë" }, "the history was changed"},
		"history in disorder": {func(v *Snapshot) { v.History[0], v.History[1] = v.History[1], v.History[0] }, "the history was changed"},
		"no first seal":       {func(v *Snapshot) { v.Seals = v.Seals[1:] }, "seal 1 does not follow"},
		"seals in disorder":   {func(v *Snapshot) { v.Seals[0], v.Seals[1] = v.Seals[1], v.Seals[0] }, "does not follow"},
		"a seal's sum":        {func(v *Snapshot) { v.Seals[1].Sum = v.Seals[0].Sum }, "seal 2, of link l1, was changed"},
		"another survey's":    {func(v *Snapshot) { v.Seals[0].Survey = "other" }, "seal 1 does not follow"},
		"history too long":    {func(v *Snapshot) { v.Seals[3].Record = "3" }, "was changed after it was made"},
	} {
		v := sealedSnapshot(t)
		c.forge(&v)
		if err := CheckSeals(v); KindOf(err) != Invalid || !strings.Contains(Message(err), c.says) {
			t.Errorf("%s: got %v, want %q", name, err, c.says)
		}
	}
}
