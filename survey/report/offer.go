package report

import (
	"strings"
	"time"

	"undercroft/calc/words"
	"undercroft/survey"
)

// OfferWords are the words round a scope that the homeowner reads, asks about and decides on, in one language. The scope itself is the revision's document.
type OfferWords struct {
	voice
	Issue, Fingerprint, ToQuestions, ToDecision, Save, Back                          string
	Questions, Waits, YourName, YourQuestion, SendQuestion, QuestionSent, NoneAsked  string
	Decide, Exactly, NoPermit, FullName, Approve, NotYet, Why, SendNo, TickFirst     string
	Drawn, Draw, Clear, NameIsEnough, Receipt, Newer, Stopped, Changed, NeedQuestion string
	NeedName, NeedReason, NeedDrawing, LookAgain, TooMany, Failed                    string
	ConsentApprove, ConsentDecline, Language, ToFinished, Closes, AskInstead         string
}

// NewOfferWords says them for a revision, with the contractor's name and how to reach the contractor from the revision's own content.
func NewOfferWords(lang words.Lang, c Content) OfferWords {
	v := voice{lang}
	contact := v.contact(c.Company)
	w := OfferWords{
		voice: v, Issue: v.say("Scope of work, revision %d of %s", c.Number, v.date(c.At)), Fingerprint: v.in("Check code of this revision"), ToQuestions: v.in("Ask a question"), ToDecision: v.in("Go to approval"), Save: v.in("Save as PDF"),
		Back: v.in("Give the phone back"), Questions: v.in("Questions"), Waits: v.in("Not answered yet. The answer will stand here."), YourName: v.in("Your name"), YourQuestion: v.in("Your question"),
		SendQuestion: v.in("Send question"), QuestionSent: v.in("Your question is sent. The answer will stand here."), NoneAsked: v.in("Nothing was asked yet."),
		Decide: v.say("Approve revision %d", c.Number), Exactly: v.in("You approve exactly what this page says. A later change makes a new revision and asks you again."),
		NoPermit: v.in("This approves the scope. It takes the place of no permit, and of no contract or notice that the law asks for."),
		FullName: v.in("Your full name"), Approve: v.say("Approve revision %d", c.Number), NotYet: v.in("Do not approve this revision"), Why: v.in("Why not"), SendNo: v.in("Send: not approved"), TickFirst: v.in("Tick this to go on."),
		Drawn: v.in("Signature"), Draw: v.in("Draw your signature here, if you like."), Clear: v.in("Clear"), NameIsEnough: v.in("The typed name is enough."), Receipt: v.in("Receipt as PDF"),
		Newer:        v.say("A newer revision was issued, so this one cannot be decided on any more. Ask for the new one: %s.", contact),
		Stopped:      v.say("Something must be settled first, so this revision cannot be approved. We will get back to you: %s.", contact),
		Changed:      v.in("This has changed since you opened it. Read it again before you decide."),
		NeedQuestion: v.in("Write your question, in at most 2,000 characters."), NeedName: v.in("Write your full name, in at most 200 characters."), NeedReason: v.in("Say why not, in at most 2,000 characters."),
		NeedDrawing: v.in("The drawn signature could not be read. Draw it again, or leave it out: the typed name is enough."), LookAgain: v.in("Something needs another look. Nothing was sent yet."),
		TooMany: v.say("There are many questions already. Please call us: %s.", contact), Failed: v.say("The record of this decision is damaged. Please call us: %s.", contact),
		Language: v.in("Language"), Closes: v.say("This closes revision %d. We read your reason and can send you a new revision.", c.Number), AskInstead: v.in("If you only want to know something, ask a question instead."), ToFinished: v.in("The work is finished: read the record"),
	}
	kept := v.say("I agree that my name, the time, the network address and the kind of browser of this device, the check code of this revision (computed from the document, not from you) and, if I draw one, my signature are kept as proof of this, with the records of this job and for as long as the contractor keeps them. To ask how long that is, to see what is kept or to have it corrected: %s.", contact)
	w.ConsentApprove = v.in("I have read this scope: the plan, what is included, what is not, what I should know, and the price where one is given. I approve exactly this revision.") + " " + kept
	w.ConsentDecline = kept
	return w
}

// contact is how to reach the contractor.
func (v voice) contact(k survey.Company) string {
	text := join(", ", k.Name, k.Phone, strings.ReplaceAll(k.Address, "\n", ", "))
	if k.Phone == "" && k.Address == "" {
		text = join(", ", k.Name, v.in("ask whoever sent you this"))
	}
	return text
}

// Consent is the text that is agreed to with a decision.
func (w OfferWords) Consent(d survey.Decision) string {
	if d == survey.Declined {
		return w.ConsentDecline
	}
	return w.ConsentApprove
}

// ConsentSum is the SHA-256 of that text: a form carries it, so that nobody agrees to words that came with another release of the program than the page that was read.
func (w OfferWords) ConsentSum(d survey.Decision) string {
	return survey.Approval{Consent: w.Consent(d)}.ConsentSum()
}

// Decided says who decided what, and when.
func (w OfferWords) Decided(a survey.Approval) string {
	if a.Decision == survey.Declined {
		return w.say("Not approved: %s, %s", a.Name, w.Moment(a.At))
	}
	return w.say("Approved by %s, %s", a.Name, w.Moment(a.At))
}

// Moment is a time to the minute, in UTC.
func (w OfferWords) Moment(t time.Time) string {
	t = t.UTC()
	return w.date(t) + ", " + t.Format("15:04") + "\u00a0UTC"
}

// Day is the day of a time in its zone.
func (w OfferWords) Day(t time.Time) string { return w.date(t) }

// LinkGone is what stands at a link that does not work, whatever the reason, in a language.
func LinkGone(lang words.Lang) (head, what string) {
	v := voice{lang}
	return v.in("This link does not work"), v.in("It may have run out, or it was not copied whole. Ask the contractor who sent it for a new one.")
}

// LinkBusy is what stands at a link that was opened too often in a short time.
func LinkBusy(lang words.Lang) (head, what string) {
	v := voice{lang}
	return v.in("Too many requests"), v.in("Wait a minute, then open the link again. Nothing is lost.")
}
