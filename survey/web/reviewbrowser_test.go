package web

import (
	"fmt"
	"net/http/httptest"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/chromedp/chromedp"

	"undercroft/survey"
	"undercroft/survey/web/internal/browser"
)

// atPhone is a phone that people sign in on, one after the other.
type atPhone struct {
	*browser.Tab
	url string
}

// signIn signs somebody in by the form, after whoever was is signed out.
func (p atPhone) signIn(name string) {
	p.Go(p.url + "/account")
	p.Wait(`document.readyState === 'complete'`)
	if browser.Eval[bool](p.Tab, `location.pathname === '/account'`) {
		browser.Eval[bool](p.Tab, `(document.querySelector('form[action="/signout"]').requestSubmit(), true)`)
	}
	p.Wait(`location.pathname === '/signin' && document.readyState === 'complete' && document.querySelector('[data-widget="sign-in"]')`)
	p.Type(`#name`, name)
	p.Type(`#password`, longPassword)
	p.Press(`[data-widget="sign-in"] .btn.main`)
	p.Wait(`location.pathname !== '/signin'`)
}

// open opens a page of the site and checks that it fits the phone.
func (p atPhone) open(t *testing.T, path string) {
	t.Helper()
	p.Go(p.url + path)
	p.fits(t)
}

func (p atPhone) fits(t *testing.T) {
	t.Helper()
	p.Wait(`document.readyState === 'complete'`)
	if got := browser.Eval[float64](p.Tab, `document.documentElement.scrollWidth`); got > phoneWidth {
		t.Errorf("%s is %v px wide on a phone", browser.Eval[string](p.Tab, `location.pathname`), got)
	}
}

// judged checks that the page fits the phone and that axe-core finds nothing in it: these are pages that no link of the demo leads to.
func (p atPhone) judged(t *testing.T) {
	t.Helper()
	p.fits(t)
	if axe := axeSource(t); axe != "" {
		accuse(t, browser.Eval[string](p.Tab, `location.pathname`), runAxe(t, p.Tab, axe))
	}
}

func (p atPhone) text(selector string) string {
	return strings.Join(strings.Fields(strings.ReplaceAll(browser.Eval[string](p.Tab, `document.querySelector('`+selector+`').textContent`), "\u00a0", " ")), " ")
}

// TestBrowserReviewAskVerify walks installer and surveyor through the evening before and the morning on site, on phones 360 px wide: the installer reviews and asks on a pin, the surveyor answers
// with a photo, the installer measures the hanger and sees what that changes, and the review says so.
func TestBrowserReviewAskVerify(t *testing.T) {
	b := browser.Open(t)
	w := newSite(t)
	server := httptest.NewServer(w.handler)
	t.Cleanup(server.Close)
	header, _ := w.photographedDemo()
	pin := locatedHanger(t, w, header)
	home := surveyPath(header.Survey)
	before := survey.Compute(w.record(header.Survey))
	carrier := carrierNear(t, before, before.Located[pin.ID].X)
	w.person("B. Quill", survey.RoleInstaller)
	w.person("K. Vale", survey.RoleSurveyor)

	phone := atPhone{b.Tab(phoneWidth, phoneHeight, true), server.URL}
	installer, surveyor := phone, phone
	phone.signIn("B. Quill")
	installer.open(t, home+"/review")
	if got := installer.text("#tick .field"); !strings.Contains(got, "B. Quill") {
		t.Errorf("who is signed in is asked for a name: %q", got)
	}
	installer.Press(`#tick .btn.main`)
	installer.Wait(`location.search === '?saved=review' && document.querySelector('.done')`)
	if got := installer.text(`[aria-label="State"] .state`); !strings.HasPrefix(got, "reviewed by B. Quill") {
		t.Errorf("the state is %q", got)
	}
	installer.open(t, photoPath(header)+"?pin="+string(pin.ID))
	installer.Wait(`document.querySelector('#pin a[href*="/questions?about=pin"]')`)
	installer.Press(`#pin a[href*="/questions?about=pin"]`)
	installer.Wait(`document.querySelector('#ask [name="f.text"]')`)
	installer.fits(t)
	installer.Type(`#ask [name="f.text"]`, "Does the seat hang lower than it looks?")
	installer.Press(`#ask .btn.main`)
	installer.Wait(`document.querySelector('#openlist .thread .said')`)
	installer.judged(t)

	phone.signIn("K. Vale")
	surveyor.open(t, home+"/leave")
	surveyor.Press(`.caut a[href$="/questions"]`)
	surveyor.Wait(`document.querySelector('#openlist .thread form')`)
	picture := filepath.Join(t.TempDir(), "seat.jpg")
	if err := os.WriteFile(picture, gradient(t), 0o600); err != nil {
		t.Fatal(err)
	}
	surveyor.Type(`#openlist [name="f.text"]`, "Yes, about an inch and a quarter.")
	surveyor.Do(chromedp.SetUploadFiles(chromedp.CSS(`#openlist input[name="file"]`), []string{picture}))
	surveyor.Press(`#openlist form .btn.main`)
	surveyor.Wait(`location.search === '?saved=answer' && document.querySelector('#answered .said.answer img')?.complete`)
	surveyor.judged(t)
	if dir := os.Getenv("UNDERCROFT_SHOTS"); dir != "" {
		surveyor.FullShot(filepath.Join(dir, "answered.png"))
	}

	phone.signIn("B. Quill")
	installer.open(t, home+"/review")
	row := `[...document.querySelectorAll('#uncertain .unsure > li')].find((li) => li.querySelector('a[href*="pin=` + string(pin.ID) + `"]'))`
	browser.Eval[bool](installer.Tab, `(`+row+`.querySelector('a[href*="/verified"]').click(), true)`)
	installer.Wait(`document.querySelector('#measure [name="f.drop"]')`)
	installer.judged(t)
	installer.Wait(`document.querySelector('#measure [data-widget="length-field"]')`)
	browser.Eval[bool](installer.Tab, `(() => { for (const [name, text] of [['f.drop', '1 1/4'], ['f.x', '`+lengthText(carrier)+`'], ['f.y', '62']]) document.querySelector('#measure [name="' + name + '"]').value = text; return true; })()`)
	installer.Press(`#measure .btn.main`)
	installer.Wait(`location.search === '?saved=verified' && document.querySelector('#changed .changes')`)
	installer.judged(t)
	changes := installer.text("#changed tbody")
	for _, want := range []string{"Notch on carrier", fmt.Sprintf("under Hanger %d", pin.Number)} {
		if !strings.Contains(changes, want) {
			t.Errorf("what it changes lacks %q: %s", want, changes)
		}
	}
	if got := installer.text("#result"); !strings.Contains(got, "located by photo 1") || !strings.Contains(got, "by B. Quill") {
		t.Errorf("the result says %q", got)
	}
	if dir := os.Getenv("UNDERCROFT_SHOTS"); dir != "" {
		installer.FullShot(filepath.Join(dir, "verified-result.png"))
		installer.open(t, home+"/review")
		installer.Shot(filepath.Join(dir, "review-changed.png"))
		installer.open(t, photoPath(header)+"?pin="+string(pin.ID))
		installer.FullShot(filepath.Join(dir, "pin.png"))
	}
	installer.open(t, home+"/review")
	installer.judged(t)
	if got := installer.text(`[aria-label="State"]`); !strings.HasPrefix(got, "changed since reviewed by B. Quill") || !strings.Contains(got, "Notch on carrier") {
		t.Errorf("after the verification the review says %q", got)
	}
	r := w.record(header.Survey)
	if len(r.Reviews) != 1 || len(r.Remarks) != 2 || r.Remarks[0].By != "B. Quill" || r.Remarks[1].By != "K. Vale" || r.Remarks[1].Photo == "" || len(r.Verified) != 1 || r.Verified[0].By != "B. Quill" {
		t.Errorf("got %+v, %+v, %+v", r.Reviews, r.Remarks, r.Verified)
	}
}

// TestBrowserReviewIsReadWithoutAConnection: once a survey was opened, its review and questions are read without a connection; what is sent from them is not kept, and says so.
func TestBrowserReviewIsReadWithoutAConnection(t *testing.T) {
	p := &phone{house: newHouse(t)}
	p.tab = browser.Open(t).Tab(phoneWidth, phoneHeight, true)
	allowOffline(p.tab)
	p.worker()
	home := p.beginOnline("Larkmoor house")
	p.tab.Go(p.url(home))
	p.tab.Wait(`(async () => (await caches.match('` + home + `/review')) && (await caches.match('` + home + `/questions')))()`)
	p.offline(true)
	p.tab.Go(p.url(home + "/questions"))
	p.tab.Wait(`document.querySelector('#openlist')`)
	p.tab.Go(p.url(home + "/review"))
	p.tab.Wait(`document.querySelector('#tick form')`)
	p.tab.Type(`#tick [name="f.by"]`, "B. Quill")
	p.tab.Press(`#tick .btn.main`)
	p.tab.Wait(`document.querySelector('h1')?.textContent.startsWith('Not sent')`)
	p.offline(false)
	if r := p.one(); len(r.Reviews) != 0 {
		t.Errorf("got %+v", r.Reviews)
	}
}
