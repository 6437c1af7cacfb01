package bundle

import (
	"encoding/json"
	"fmt"
	"slices"
	"time"

	"undercroft/survey"
)

// finishDoc is an act about the end of the work. What a finishing says lies in a file of its own.
type finishDoc struct {
	Survey    survey.SurveyID  `json:"-"`
	Seq       int              `json:"seq"`
	Act       survey.FinishAct `json:"act"`
	SHA256    string           `json:"sha256"`
	Approved  int              `json:"revision,omitempty"`
	By        string           `json:"by,omitempty"`
	Reason    string           `json:"reason,omitempty"`
	Name      string           `json:"name,omitempty"`
	Consent   string           `json:"consent,omitempty"`
	Lang      string           `json:"lang,omitempty"`
	Link      survey.LinkID    `json:"link,omitempty"`
	Address   string           `json:"address,omitempty"`
	Agent     string           `json:"agent,omitempty"`
	Signature string           `json:"signature,omitempty"`
	At        time.Time        `json:"at"`
	Prev      string           `json:"prev"`
	Hash      string           `json:"hash"`
}

func finishedFile(f survey.Finish) string { return fmt.Sprintf("finished/%d.json", f.Seq) }

// checkFinished checks the acts about the end of the work: they are what they were when they were made, and what a finishing says is the file that was frozen.
func (b *Bundle) checkFinished(d document, named map[string]bool) error {
	v := d.snapshot()
	links := map[survey.LinkID]int{}
	for _, l := range v.Links {
		links[l.ID] = l.Number
	}
	for i, f := range v.Finishes {
		if slices.ContainsFunc([]string{f.By, f.Reason, f.Name, f.Consent, f.Lang, f.Address, f.Agent}, unclean) || f.Validate() != nil ||
			f.Link != "" && (f.By != "" || links[f.Link] == 0 || links[f.Link] != f.Approved) {
			return refuse("act %d about the end of the work is not in order", i+1)
		}
		if f.Act != survey.Finished {
			continue
		}
		name := finishedFile(f)
		if b.sums[name] != f.SHA256 {
			return refuse("%s is not what was said when the work was finished", name)
		}
		named[name] = true
	}
	if err := survey.CheckFinishes(v.Finishes, v.Revisions); err != nil {
		return refuse("%s", survey.Message(err))
	}
	return nil
}

// finishedContent is what a bundle needs to know of what a finishing says: of which act it is, and the photos it stands on.
type finishedContent struct {
	Survey survey.SurveyID `json:"survey"`
	Work   struct {
		Approved int `json:"approved"`
	} `json:"work"`
	Photos []frozenPhoto `json:"photos"`
}

// checkFinishings checks what each finishing says of itself, and that the photos it stands on are there.
func (b *Bundle) checkFinishings() error {
	for _, f := range b.Snapshot.Finishes {
		if f.Act != survey.Finished {
			continue
		}
		name := finishedFile(f)
		body, err := b.read(name, maxJSON)
		if err != nil {
			return err
		}
		var content finishedContent
		if err := json.Unmarshal(body, &content); err != nil {
			return refuse("%s cannot be read", name)
		}
		if content.Survey != f.Survey || content.Work.Approved != f.Approved {
			return refuse("%s is about other work", name)
		}
		for _, p := range content.Photos {
			if _, err := b.find(p.SHA256); err != nil {
				return err
			}
			if err := b.checkPictures(p.Screen, p.Thumb); err != nil {
				return err
			}
		}
	}
	return nil
}
