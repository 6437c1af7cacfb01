package survey

import "strconv"

// The kinds of seal on what the crew and the office say and do.
const (
	SealReview       SealKind = "review"
	SealRemark       SealKind = "remark"
	SealVerification SealKind = "verification"
	SealFiling       SealKind = "filing"
)

// Sealed is the review as its seal is of it.
func (v Review) Sealed() Sealed {
	return Sealed{SealReview, strconv.Itoa(v.Seq), struct {
		By       string `json:"by"`
		At       int64  `json:"at"`
		Revision int    `json:"revision"`
		SHA256   string `json:"sha256"`
	}{v.By, sealTime(v.At), v.Revision, v.SHA256}}
}

// Sealed is the remark as its seal is of it.
func (m Remark) Sealed() Sealed {
	return Sealed{SealRemark, m.ID, struct {
		Question string     `json:"question"`
		Kind     RemarkKind `json:"kind"`
		Subject  Subject    `json:"subject"`
		Target   string     `json:"target"`
		About    string     `json:"about"`
		Text     string     `json:"text"`
		Photo    PhotoID    `json:"photo"`
		By       string     `json:"by"`
		At       int64      `json:"at"`
	}{m.Question, m.Kind, m.Subject, m.Target, m.About, m.Text, m.Photo, m.By, sealTime(m.At)}}
}

// Sealed is the verification as its seal is of it.
func (v Verification) Sealed() Sealed {
	return Sealed{SealVerification, v.ID, struct {
		Seq       int               `json:"seq"`
		Pin       PinID             `json:"pin"`
		Set       map[string]string `json:"set"`
		Was       map[string]string `json:"was"`
		Before    string            `json:"before"`
		Withdraws string            `json:"withdraws"`
		By        string            `json:"by"`
		At        int64             `json:"at"`
	}{v.Seq, v.Pin, v.Set, v.Was, v.Before, v.Withdraws, v.By, sealTime(v.At)}}
}

// Sealed is the act about where a survey is kept as its seal is of it.
func (f Filing) Sealed() Sealed {
	return Sealed{SealFiling, strconv.Itoa(f.Seq), struct {
		Act FilingAct `json:"act"`
		By  string    `json:"by"`
		At  int64     `json:"at"`
	}{f.Act, f.By, sealTime(f.At)}}
}
