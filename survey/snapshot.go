package survey

import (
	"encoding/json"
	"time"
)

// Snapshot is everything that a store holds of one survey, for taking it elsewhere: the record as it stands, the highest numbers ever given to a photo
// and a pin, what was issued, the links to it without their secrets, what was asked and decided, the seals of all that, where it was kept, and every change in the order it was made. The bytes that it names by their
// SHA-256 are not in it.
type Snapshot struct {
	Record             Record
	LastPhoto, LastPin int
	Revisions          []Revision
	Renditions         []Rendition
	Links              []Link
	Inquiries          []Inquiry
	Approvals          []Approval
	Finishes           []Finish
	Seals              []Seal
	Filings            []Filing
	History            []Change
}

// Rendition is a revision's report as it was first painted: Name says reader, language, paper and kind of file.
type Rendition struct {
	Number int
	Name   string
	SHA256 string
	At     time.Time
}

// Change is one entry of a survey's history. Kind is "survey", "photo", "pin" or "fact", ID the row's id, of a fact its key; What is "create", "update",
// "delete" or "restore", Row the row after it as JSON. By is empty where nobody is named.
type Change struct {
	Kind, ID, What string
	Version        int
	Row            json.RawMessage
	At             time.Time
	By             string
}
