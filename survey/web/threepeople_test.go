package web

import (
	"bytes"
	"fmt"
	"path/filepath"
	"regexp"
	"strings"
	"testing"
	"time"

	"github.com/chromedp/chromedp"

	"undercroft/calc/length"
	"undercroft/survey"
	"undercroft/survey/bundle"
	"undercroft/survey/web/internal/browser"
)

// TestBrowserThreePeople walks a survey from the visit to a second approval: the salesperson sends a photo and issues, the installer reviews, the homeowner asks by a link, is answered
// and approves; a bracket turns out to hang lower, which deepens a notch, and that is told line by line; a second revision supersedes the first and is approved. All on phones
// 360 px wide. Afterwards neither the data folder nor the log holds a secret that opens anything.
func TestBrowserThreePeople(t *testing.T) {
	b := browser.Open(t)
	o := newOverheard(t)
	house := o.demo()
	if _, err := o.store.SaveCompany(t.Context(), survey.Company{Name: "Alder & Moss", Phone: "555 0100"}); err != nil {
		t.Fatal(err)
	}
	o.person("K. Vale", survey.RoleSurveyor)
	o.person("B. Quill", survey.RoleInstaller)
	home := surveyPath(house.ID)
	phone := atPhone{b.Tab(phoneWidth, phoneHeight, true), o.url}
	staff := threePeople{t, o, phone, home}

	bracket := staff.bracket("1/2")
	bracket.Values["drop"] = "3/4" // so that a notch is needed from the beginning
	if _, err := o.store.PutPin(t.Context(), bracket); err != nil {
		t.Fatal(err)
	}
	phone.signIn("K. Vale")
	staff.sendPhoto()
	first := staff.issue(1)

	phone.signIn("B. Quill")
	phone.open(t, home+"/review")
	phone.Press(`#tick .btn.main`)
	phone.Wait(`location.search === '?saved=review' && document.querySelector('.done')`)

	staff.ask(first)
	phone.signIn("K. Vale")
	staff.answer()
	staff.approve(first, 1, "It stays as it is.")

	staff.hangsLower(staff.bracket("3/4"), "7/8")
	staff.tellsChange(bracket.Number)
	second := staff.issue(2)
	staff.approve(second, 2, "")
	phone.Go(first)
	phone.Wait(`document.querySelector('#decision')?.textContent.includes('newer revision')`)
	staff.ends()
	staff.bundleIsWhole()
	o.nothingLeaks()
}

// threePeople is what each of them does on the phone.
type threePeople struct {
	t     *testing.T
	o     *overheard
	phone atPhone
	home  string
}

// sendPhoto sends one more photo from the page of photos.
func (p threePeople) sendPhoto() {
	p.t.Helper()
	path, err := filepath.Abs("../../cmd/undercroft/demo/photos/04-header-hangers.jpg")
	if err != nil {
		p.t.Fatal(err)
	}
	p.phone.open(p.t, p.home+"/photos")
	before := browser.Eval[int](p.phone.Tab, `document.querySelectorAll('[data-part="grid"] a.shot').length`)
	p.phone.Do(chromedp.SetUploadFiles(chromedp.CSS(`input[name="photos"]`), []string{path}))
	p.phone.Wait(fmt.Sprintf(`document.querySelectorAll('[data-part="grid"] a.shot img[src]').length === %d`, before+1))
}

// issue issues the next revision and makes a link to it.
func (p threePeople) issue(number int) (link string) {
	p.t.Helper()
	p.phone.open(p.t, p.home+"/revisions")
	p.phone.Press(`#issue form .btn`)
	p.phone.Wait(fmt.Sprintf(`document.querySelector('.done')?.textContent.includes('Revision %d is issued')`, number))
	p.phone.fits(p.t)
	browser.Eval[bool](p.phone.Tab, `(document.querySelector('.revlinks').open = true)`)
	p.phone.Press(`.makelink .btn`)
	p.phone.Wait(`document.querySelector('#made-link')`)
	p.phone.fits(p.t)
	return browser.Eval[string](p.phone.Tab, `document.querySelector('#made-link').value`)
}

// ask is the homeowner's question.
func (p threePeople) ask(link string) {
	p.t.Helper()
	p.phone.Go(link)
	p.phone.fits(p.t)
	p.phone.Type(`#question`, "Will the light be as bright?")
	p.phone.Type(`#ask-name`, "J. Alder")
	p.phone.Press(`#questions form .btn`)
	p.phone.Wait(`document.querySelector('#questions .asked')?.textContent.includes('as bright')`)
}

// answer is the salesperson's answer.
func (p threePeople) answer() {
	p.t.Helper()
	p.phone.open(p.t, p.home+"/revisions")
	p.phone.Type(`.asked textarea`, "It stays as it is.")
	p.phone.Press(`.asked form .btn`)
	p.phone.Wait(`location.search === '?saved=answered'`)
}

// approve is the homeowner's approval, after reading an answer.
func (p threePeople) approve(link string, number int, answered string) {
	p.t.Helper()
	p.phone.Go(link)
	p.phone.Wait(`document.readyState === 'complete'`)
	if got := p.phone.text("#questions"); !strings.Contains(got, answered) {
		p.t.Errorf("the answer does not reach the homeowner: %s", got)
	}
	p.phone.Type(`#name`, "J. Alder")
	p.phone.Press(`#consent`)
	p.phone.Press(`form[data-form="approve"] .btn.main`)
	p.phone.Wait(fmt.Sprintf(`document.querySelector('#decision a[href*="receipt.pdf"]') && document.querySelector('#decision').textContent.includes('Approved by J. Alder') && document.querySelector('.offertop').textContent.replaceAll('\u00a0', ' ').includes('revision %d ')`, number))
	p.phone.fits(p.t)
}

// bracket is the first bracket that hangs that far below the joists.
func (p threePeople) bracket(drop string) survey.Pin {
	p.t.Helper()
	for _, pin := range p.o.record(survey.SurveyID(strings.TrimPrefix(p.home, "/surveys/"))).Pins {
		if pin.Kind == survey.PinBracket && pin.Values["drop"] == drop {
			return pin
		}
	}
	p.t.Fatalf("no bracket hangs by %s", drop)
	return survey.Pin{}
}

// hangsLower types another drop for a bracket on its form.
func (p threePeople) hangsLower(pin survey.Pin, drop string) {
	p.t.Helper()
	photo, _ := p.o.record(pin.Survey).Photo(pin.Photo)
	p.phone.Go(p.phone.url + photoPath(photo) + "?pin=" + string(pin.ID))
	p.phone.Wait(`document.querySelector('[data-widget="photo"]')?.dataset.ready !== undefined && document.querySelector('#pin [name="v.drop"]')`)
	p.phone.Type(`#pin [name="v.drop"]`, drop)
	p.phone.Press(`#pin .btn.main`)
	p.phone.Wait(`document.querySelector('[data-widget="photo"]').dataset.unsent === '0'`)
	for end := time.Now().Add(20 * time.Second); ; time.Sleep(50 * time.Millisecond) {
		if now, _ := p.o.record(pin.Survey).Pin(pin.ID); now.Values["drop"] == drop {
			return
		}
		if time.Now().After(end) {
			p.t.Fatal("the drop was not saved")
		}
	}
}

// tellsChange: on the survey's first page and the walk list, line by line in the words of the trade where the approval is, and first in the crew's report.
func (p threePeople) tellsChange(number int) {
	p.t.Helper()
	bracket := fmt.Sprintf("Bracket %d", number)
	p.phone.open(p.t, p.home)
	if got := p.phone.text(".since"); !strings.Contains(got, "changed since J. Alder approved revision 1") || !strings.Contains(got, "under "+bracket) {
		p.t.Errorf("the first page says %q", got)
	}
	p.phone.open(p.t, p.home+"/walk")
	p.phone.Press(`.since a`)
	p.phone.Wait(`location.pathname.endsWith('/revisions') && document.querySelector('#since-approval tbody')`)
	p.phone.fits(p.t)
	lines := p.phone.text("#since-approval tbody")
	notch := regexp.MustCompile(`Notch on carrier \d+, zone 1, under ` + bracket + `([\d/ ]+)″ deep from .*?(?:site|cut)([\d/ ]+)″ deep`).FindStringSubmatch(lines)
	if notch == nil || p.inches(notch[2]) <= p.inches(notch[1]) || !strings.Contains(lines, "Hangs below the joists3/4″7/8″") {
		p.t.Errorf("the lines do not tell of a deeper notch: %q in %s", notch, lines)
	}
	p.phone.open(p.t, p.home+"/report?for=crew")
	if got := p.phone.text(".doc .caut"); !strings.Contains(got, "Changed since the homeowner's approval") && !strings.Contains(got, "Changed since the homeowner’s approval") {
		p.t.Errorf("the first caution of the crew's report is %q", got)
	}
}

func (p threePeople) inches(text string) float64 {
	p.t.Helper()
	l, err := length.Parse(text)
	if err != nil {
		p.t.Fatal(err)
	}
	return float64(l)
}

// ends looks at the survey when all is done: the second approval stands, the first is superseded, the pages tell of no change, the history names everybody.
func (p threePeople) ends() {
	p.t.Helper()
	p.phone.open(p.t, p.home+"/revisions")
	if got := p.phone.text("#issued"); strings.Count(got, "Approved by J. Alder") != 2 || !strings.Contains(got, "superseded by revision 2") {
		p.t.Errorf("what was issued: %s", got)
	}
	if got := p.phone.text("#since-approval"); !strings.Contains(got, "Nothing has changed since") {
		p.t.Errorf("since the approval: %s", got)
	}
	p.phone.open(p.t, p.home)
	if browser.Eval[bool](p.phone.Tab, `document.querySelector('.since') !== null`) {
		p.t.Error("the first page tells of a change that is approved")
	}
	p.phone.open(p.t, p.home+"/history")
	got := p.phone.text("main")
	for _, want := range []string{"J. Alder", "B. Quill", "K. Vale", "approved by the homeowner", "reviewed by the crew", "Link to revision 2 made", "Hangs below the joists: 3/4″ → is now 7/8″", "Revision 2 issued"} {
		if !strings.Contains(got, want) {
			p.t.Errorf("the history lacks %q", want)
		}
	}
}

// bundleIsWhole: what the office takes home verifies.
func (p threePeople) bundleIsWhole() {
	p.t.Helper()
	var packed bytes.Buffer
	if err := bundle.Write(p.t.Context(), &packed, p.o.store, survey.SurveyID(strings.TrimPrefix(p.home, "/surveys/"))); err != nil {
		p.t.Fatal(err)
	}
	b, err := bundle.Open(bytes.NewReader(packed.Bytes()), int64(packed.Len()))
	if err != nil || len(b.Snapshot.Approvals) != 2 || len(b.Snapshot.Revisions) != 2 || len(b.Snapshot.Seals) < 8 {
		p.t.Fatalf("the bundle: %v", err)
	}
}
