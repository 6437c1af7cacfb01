package report

import (
	"undercroft/calc/words"
	"undercroft/survey"
)

// FinishWords are the words round the papers of finished work that the client reads and signs off, in one language.
type FinishWords struct {
	voice
	Finished, Fingerprint, SaveRecord, SaveCare, Back, BackToScope, Language, SignHead, Exactly, FullName, Sign, Drawn, Draw, Clear, NameIsEnough string
	NeedName, NeedDrawing, NeedTick, LookAgain, Changed, Consent                                                                                  string
}

// NewFinishWords says them for a finishing.
func NewFinishWords(lang words.Lang, f Finishing) FinishWords {
	v := voice{lang}
	w := (&composer{voice: v}).finishWords()
	w.Finished = f.Said(lang).Issue // the day as the record tells it: what is kept is in UTC
	w.Consent += " " + v.say("I agree that my name, the time, the network address and the kind of browser of this device, the check code of this record (computed from the document, not from you) and, if I draw one, my signature are kept as proof of this, with the records of this job and for as long as the contractor keeps them. To ask how long that is, to see what is kept or to have it corrected: %s.", v.contact(f.As.Company))
	return w
}

// finishWords are those that do not depend on the work.
func (c *composer) finishWords() FinishWords {
	v := c.voice
	return FinishWords{voice: v, Fingerprint: v.in("Check code of this record"), SaveRecord: v.in("Completion record (PDF)"), SaveCare: v.in("Care sheet (PDF)"), Back: v.in("Give the phone back"), BackToScope: v.in("To the scope"), Language: v.in("Language"),
		SignHead: v.in("Sign off the work"), Exactly: v.in("By signing you say that you have seen the work that this page describes. Signing is not meant to take away any right that you have. If something here is not so, do not sign: tell us first."), FullName: v.in("Your full name"), Sign: v.in("Sign off the work"),
		Drawn: v.in("Signature"), Draw: v.in("Draw your signature here, if you like."), Clear: v.in("Clear"), NameIsEnough: v.in("The typed name is enough."),
		NeedName: v.in("Write your full name, in at most 200 characters."), NeedDrawing: v.in("The drawn signature could not be read. Draw it again, or leave it out: the typed name is enough."), NeedTick: v.in("Tick this to go on."),
		LookAgain: v.in("Something needs another look. Nothing was sent yet."), Changed: v.in("This has changed since you opened it. Read it again before you sign."),
		Consent: v.in("I have seen the finished work and read this record, with what it says about the hose test. I can save or ask for the care sheet. I sign that, and no more: by signing I do not mean to give up any right, warranty or claim, also for what shows only later."),
	}
}

// Signed says who signed off, and when.
func (w FinishWords) Signed(f survey.Finish) string {
	return w.say("Signed off by %s, %s", f.Name, OfferWords{voice: w.voice}.Moment(f.At))
}
