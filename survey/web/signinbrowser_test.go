package web

import (
	"context"
	"strings"
	"testing"

	"undercroft/survey"
	"undercroft/survey/password"
	"undercroft/survey/web/internal/browser"
)

// member adds somebody who signs in with longPassword.
func (p *phone) member(name string, role survey.Role) survey.Person {
	p.t.Helper()
	person, err := p.store.AddPerson(context.Background(), survey.Person{Name: name, Role: role}, password.Hash(longPassword))
	if err != nil {
		p.t.Fatal(err)
	}
	return person
}

// enter fills in the form of the page and sends it.
func (p *phone) enter(name, typed string) {
	p.t.Helper()
	p.tab.Wait(`document.readyState === 'complete' && document.querySelector('[data-widget="sign-in"]')`)
	if browser.Eval[string](p.tab, `document.querySelector('#name').value`) == "" {
		p.tab.Type(`#name`, name)
	}
	p.tab.Type(`#password`, typed)
	p.tab.Press(`[data-widget="sign-in"] .btn.main`)
}

func signedPhone(t *testing.T) *phone {
	t.Helper()
	p := &phone{house: newHouse(t)}
	p.tab = browser.Open(t).Tab(360, phoneHeight, true)
	p.tab.Allow("401")
	allowOffline(p.tab)
	return p
}

// TestBrowserSignIn: sent to the form, a wrong password, the right one, back where one was going; a session that is over in the middle of a form loses
// nothing of what was typed; signing out.
func TestBrowserSignIn(t *testing.T) {
	p := signedPhone(t)
	vance := p.member("R. Vance", survey.RoleOffice)
	p.worker()
	p.tab.Go(p.url("/settings"))
	p.enter("r. vance", "not the password")
	p.tab.Wait(`document.querySelector('.problem')?.textContent.includes('name or the password is wrong') && document.querySelector('#name')?.value === 'r. vance' && document.querySelector('#password')?.value === ''`)
	p.enter("", longPassword)
	p.tab.Wait(`location.pathname === '/settings' && document.querySelector('.top .who')?.textContent.trim() === 'R. Vance'`)
	home := p.beginOnline("Larkmoor house")
	p.tab.Go(p.url(home))
	p.tab.Type(`[name="f.address"]`, "12 Mill Lane & yard")
	if err := p.store.EndSessions(context.Background(), vance.ID); err != nil {
		t.Fatal(err)
	}
	p.tab.Press(`#site .btn.main`)
	p.tab.Wait(`document.querySelector('.problem')?.textContent.includes('not signed in any more')`)
	if wide := browser.Eval[bool](p.tab, `document.documentElement.scrollWidth > innerWidth`); wide {
		t.Error("the page is wider than the phone")
	}
	p.enter("R. Vance", longPassword)
	p.tab.Wait(`location.pathname === '` + home + `' && document.querySelector('[name="f.address"]')?.value === '12 Mill Lane & yard'`)
	if got := p.one().Survey.Address; got != "12 Mill Lane & yard" {
		t.Errorf("the address is %q", got)
	}
	p.tab.Press(`.bar .more summary`)
	p.tab.Wait(`document.querySelector('.morelist .whoout')?.getBoundingClientRect().height >= 44`)
	p.tab.Press(`.morelist .whoout button`)
	p.tab.Wait(`location.pathname === '/signin' && caches.keys().then(async (keys) => {
		for (const k of keys) if (k.startsWith('pages-') || k === 'pictures') if ((await (await caches.open(k)).keys()).length > 0) return false;
		return keys.some((k) => k.startsWith('shell-'));
	})`)
	p.tab.Go(p.url(home))
	p.tab.Wait(`location.pathname === '/signin'`)
}

// TestBrowserQueueSurvivesSignOut: what waits on a phone while nobody is signed in stays, says what to do, and is sent after signing in, once.
func TestBrowserQueueSurvivesSignOut(t *testing.T) {
	p := signedPhone(t)
	vance := p.member("R. Vance", survey.RoleSurveyor)
	p.worker()
	p.enter("R. Vance", longPassword)
	p.tab.Wait(`location.pathname === '/surveys'`)
	home := p.beginOnline("Larkmoor house")
	p.tab.Go(p.url(home))
	p.tab.Wait(`document.querySelector('#deck')`)
	p.offline(true)
	p.width("28' 4")
	p.tab.Press(`#deck .savebar .btn.main`)
	p.waiting(1)
	if err := p.store.EndSessions(context.Background(), vance.ID); err != nil {
		t.Fatal(err)
	}
	p.offline(false)
	p.tab.Wait(`document.querySelector('.waitstrip')?.textContent.includes('sign in again to send') && Number(document.querySelector('.waitstrip').dataset.waiting) === 1`)
	if got := p.one().Facts["width"].Text; got != "" {
		t.Errorf("the width arrived as %q from nobody", got)
	}
	p.tab.Press(`.waitstrip a`)
	p.enter("R. Vance", longPassword)
	p.tab.Wait(`location.pathname === '` + home + `'`)
	p.waiting(0)
	if got := p.one().Facts["width"].Text; got != "28' 4" {
		t.Errorf("the width arrived as %q", got)
	}
	snapshot, err := p.store.Snapshot(context.Background(), survey.SurveyID(strings.TrimPrefix(home, "/surveys/")))
	if err != nil {
		t.Fatal(err)
	}
	written := 0
	for _, c := range snapshot.History {
		if c.ID != "width" {
			continue
		}
		written++
		if c.By != "R. Vance" {
			t.Errorf("the width is by %q", c.By)
		}
	}
	if written != 1 {
		t.Errorf("the width was written %d times", written)
	}
}
