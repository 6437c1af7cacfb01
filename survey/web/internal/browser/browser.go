// Package browser drives a real browser in tests: pages by touch, mouse and keyboard, with every console error, exception and policy
// violation counted as a failure. It is imported by tests only.
package browser

import (
	"context"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"sync"
	"testing"
	"time"

	cdpbrowser "github.com/chromedp/cdproto/browser"
	"github.com/chromedp/cdproto/cdp"
	"github.com/chromedp/cdproto/emulation"
	"github.com/chromedp/cdproto/input"
	"github.com/chromedp/cdproto/log"
	"github.com/chromedp/cdproto/network"
	"github.com/chromedp/cdproto/runtime"
	"github.com/chromedp/cdproto/storage"
	"github.com/chromedp/cdproto/target"
	"github.com/chromedp/chromedp"
)

// patience is how long a tab waits for anything.
const patience = 40 * time.Second

// Browser is one running browser with its own profile.
type Browser struct {
	t   *testing.T
	ctx context.Context
}

// Open starts a browser for one test. Without one the test is skipped, unless the environment variable UNDERCROFT_BROWSER is "required",
// which makes it fail, or "off", which skips in any case. CHROMIUM names the program when it is not on the path.
func Open(t *testing.T) *Browser {
	t.Helper()
	return OpenProfile(t, "")
}

// OpenProfile is Open with what an earlier browser has kept in the folder dir; an empty dir is a new one.
func OpenProfile(t *testing.T, dir string) *Browser {
	t.Helper()
	if os.Getenv("UNDERCROFT_BROWSER") == "off" {
		t.Skip("the browser is switched off")
	}
	path := find()
	if path == "" {
		if os.Getenv("UNDERCROFT_BROWSER") == "required" {
			t.Fatal("no browser: install chromium or set CHROMIUM")
		}
		t.Skip("no browser here")
	}
	options := append(chromedp.DefaultExecAllocatorOptions[:], chromedp.ExecPath(path), chromedp.NoSandbox, chromedp.DisableGPU,
		chromedp.Flag("disable-quic", true), chromedp.Flag("disable-component-update", true), chromedp.Flag("disable-background-networking", true))
	if dir != "" {
		options = append(options, chromedp.UserDataDir(dir))
	}
	alloc, stopAlloc := chromedp.NewExecAllocator(context.Background(), options...)
	ctx, stop := chromedp.NewContext(alloc)
	t.Cleanup(func() {
		stop()
		stopAlloc()
	})
	if err := chromedp.Do(ctx); err != nil {
		t.Fatalf("start browser: %v", err)
	}
	return &Browser{t, ctx}
}

// Crash ends the browser as on a phone that runs out of memory: at once, without a word to its pages.
func (b *Browser) Crash() {
	b.t.Helper()
	go func() { _, _ = chromedp.CallBrowser(b.ctx, cdpbrowser.Crash, cdp.Empty{}) }() // nobody is left to answer
	select {
	case <-b.ctx.Done():
	case <-time.After(patience):
		b.t.Fatal("the browser did not end")
	}
}

func find() string {
	for _, name := range []string{os.Getenv("CHROMIUM"), "chromium", "chromium-browser", "google-chrome"} {
		if path, err := exec.LookPath(name); name != "" && err == nil {
			return path
		}
	}
	return ""
}

// Tab is one page. Its methods end the test when something fails.
type Tab struct {
	t     *testing.T
	ctx   context.Context
	touch bool
	// workers are the service workers whose connection was taken away.
	workers map[target.ID]context.Context

	mu      sync.Mutex
	errors  []string
	allowed []string
}

// Tab opens an empty page of the given size in CSS px, a phone's when touch is set. At the end of the test everything that the page complained
// about is a failure, except what Allow names.
func (b *Browser) Tab(width, height int64, touch bool) *Tab {
	b.t.Helper()
	ctx, stop := chromedp.NewContext(b.ctx)
	tab := &Tab{t: b.t, ctx: ctx, touch: touch, workers: map[target.ID]context.Context{}}
	if err := chromedp.Listen(ctx, tab.hear); err != nil {
		b.t.Fatal(err)
	}
	b.t.Cleanup(func() {
		tab.check()
		stop()
	})
	size := chromedp.EmulateViewport(width, height)
	if touch {
		size = chromedp.EmulateViewport(width, height, chromedp.EmulateMobile, chromedp.EmulateTouch, chromedp.EmulateScale(2))
	}
	tab.do(size)
	return tab
}

// hear notes complaints of the page.
func (tab *Tab) hear(event any) {
	text := ""
	switch e := event.(type) {
	case *log.EventEntryAdded:
		if e.Entry.Level == log.EntryLevelError || e.Entry.Source == log.EntrySourceSecurity || e.Entry.Source == log.EntrySourceViolation {
			text = e.Entry.Text + " " + e.Entry.URL
		}
	case *runtime.EventConsoleAPICalled:
		if e.Type == runtime.ConsoleAPICalledTypeError || e.Type == runtime.ConsoleAPICalledTypeAssert {
			for _, a := range e.Args {
				text += string(a.Value) + a.Description + " "
			}
		}
	case *runtime.EventExceptionThrown:
		text = e.ExceptionDetails.Text
		if e.ExceptionDetails.Exception != nil {
			text += " " + e.ExceptionDetails.Exception.Description
		}
	}
	if text != "" {
		tab.mu.Lock()
		tab.errors = append(tab.errors, text)
		tab.mu.Unlock()
	}
}

// Allow names a part of complaints that this test provokes.
func (tab *Tab) Allow(part string) { tab.allowed = append(tab.allowed, part) }

func (tab *Tab) check() {
	tab.mu.Lock()
	defer tab.mu.Unlock()
	for _, text := range tab.errors {
		allowed := false
		for _, part := range tab.allowed {
			allowed = allowed || strings.Contains(text, part)
		}
		if !allowed {
			tab.t.Errorf("the page complained: %s", text)
		}
	}
}

func (tab *Tab) do(steps ...chromedp.Action[chromedp.Void]) {
	tab.t.Helper()
	ctx, cancel := context.WithTimeout(tab.ctx, patience)
	defer cancel()
	if err := chromedp.Do(ctx, steps...); err != nil {
		tab.t.Fatal(err)
	}
}

// Do runs any other actions.
func (tab *Tab) Do(steps ...chromedp.Action[chromedp.Void]) {
	tab.t.Helper()
	tab.do(steps...)
}

// Go opens an address.
func (tab *Tab) Go(url string) {
	tab.t.Helper()
	tab.do(chromedp.Navigate(url))
}

// Reload opens the page again.
func (tab *Tab) Reload() {
	tab.t.Helper()
	tab.do(chromedp.Reload())
}

// Eval evaluates an expression, awaiting a promise, and gives its value.
func Eval[T any](tab *Tab, expression string) T {
	tab.t.Helper()
	ctx, cancel := context.WithTimeout(tab.ctx, patience)
	defer cancel()
	v, err := chromedp.Run(ctx, chromedp.Evaluate[T](expression, chromedp.EvalAwaitPromise))
	if err != nil {
		tab.t.Fatalf("%s: %v", expression, err)
	}
	return v
}

// Wait waits until an expression is true. An expression that cannot be evaluated yet, because a page is just being left, is not true.
func (tab *Tab) Wait(expression string) {
	tab.t.Helper()
	ctx, cancel := context.WithTimeout(tab.ctx, patience)
	defer cancel()
	var last error
	for {
		done, err := chromedp.Run(ctx, chromedp.Evaluate[bool]("(async () => Boolean(await ("+expression+")))()", chromedp.EvalAwaitPromise))
		if err == nil && done {
			return
		}
		if err != nil && ctx.Err() == nil {
			last = err
		}
		if ctx.Err() != nil {
			tab.Shot(filepath.Join(os.TempDir(), "undercroft-wait.png"))
			tab.t.Fatalf("waited in vain for %s (last error: %v)", expression, last)
		}
		time.Sleep(30 * time.Millisecond)
	}
}

// Box is where an element lies in the window, in CSS px.
type Box struct{ X, Y, W, H float64 }

// Box finds the first element that matches.
func (tab *Tab) Box(selector string) Box {
	tab.t.Helper()
	return Eval[Box](tab, `(() => { const el = document.querySelector(`+quote(selector)+`); if (!el) throw new Error('no element'); const b = el.getBoundingClientRect(); return {X: b.x, Y: b.y, W: b.width, H: b.height}; })()`)
}

// quote makes a JavaScript string of a selector.
func quote(s string) string {
	return "'" + strings.NewReplacer(`\`, `\\`, `'`, `\'`, "\n", `\n`).Replace(s) + "'"
}

// show brings an element into the middle of the window.
func (tab *Tab) show(selector string) {
	tab.t.Helper()
	Eval[bool](tab, `(document.querySelector(`+quote(selector)+`).scrollIntoView({block: 'center', behavior: 'instant'}), true)`)
}

// still brings an element into view and gives its box once that has stood still for a tenth of a second, as it must for a person to press it; after two seconds it is given in any case.
func (tab *Tab) still(selector string) Box {
	tab.t.Helper()
	tab.show(selector)
	was := tab.Box(selector)
	for since, end := time.Now(), time.Now().Add(2*time.Second); time.Since(since) < 100*time.Millisecond && time.Now().Before(end); {
		time.Sleep(20 * time.Millisecond)
		if now := tab.Box(selector); now != was {
			tab.show(selector)
			was, since = tab.Box(selector), time.Now()
		}
	}
	return was
}

// Press taps or clicks the middle of an element, after bringing it into view.
func (tab *Tab) Press(selector string) {
	tab.t.Helper()
	tab.show(selector)
	b := tab.Box(selector)
	tab.PressAt(b.X+b.W/2, b.Y+b.H/2)
}

// PressStill is Press for what may just have appeared or moved: it waits until the element stands still.
func (tab *Tab) PressStill(selector string) {
	tab.t.Helper()
	b := tab.still(selector)
	tab.PressAt(b.X+b.W/2, b.Y+b.H/2)
}

// PressAt taps or clicks a place in the window.
func (tab *Tab) PressAt(x, y float64) {
	tab.t.Helper()
	tab.Drag([][2]float64{{x, y}})
}

// Drag presses at the first place, goes through the others and lets go at the last.
func (tab *Tab) Drag(path [][2]float64) {
	tab.t.Helper()
	last := path[len(path)-1]
	if tab.touch {
		tab.Touch(input.DispatchTouchEventTypeTouchStart, path[:1])
		for _, p := range path[1:] {
			tab.Touch(input.DispatchTouchEventTypeTouchMove, [][2]float64{p})
		}
		tab.Touch(input.DispatchTouchEventTypeTouchEnd, nil)
		return
	}
	tab.mouse(input.DispatchMouseEventTypeMouseMoved, path[0])
	tab.mouse(input.DispatchMouseEventTypeMousePressed, path[0])
	for _, p := range path[1:] {
		tab.mouse(input.DispatchMouseEventTypeMouseMoved, p)
	}
	tab.mouse(input.DispatchMouseEventTypeMouseReleased, last)
}

func (tab *Tab) mouse(kind input.DispatchMouseEventType, at [2]float64) {
	tab.t.Helper()
	tab.do(chromedp.MouseEvent(kind, at[0], at[1], chromedp.ButtonLeft, chromedp.ClickCount(1)))
}

// Touch sends one touch event with the fingers that are down, in px of the window.
func (tab *Tab) Touch(kind input.DispatchTouchEventType, fingers [][2]float64) {
	tab.t.Helper()
	params := input.DispatchTouchEventParams{Type: kind, TouchPoints: []*input.TouchPoint{}}
	for i, f := range fingers {
		id := float64(i)
		params.TouchPoints = append(params.TouchPoints, &input.TouchPoint{X: f[0], Y: f[1], ID: &id})
	}
	if _, err := chromedp.Call(tab.ctx, input.DispatchTouchEvent, params); err != nil {
		tab.t.Fatal(err)
	}
}

// Key presses keys of package kb, with modifiers held.
func (tab *Tab) Key(keys string, held ...chromedp.Modifier) {
	tab.t.Helper()
	tab.do(chromedp.KeyEvent(keys, chromedp.KeyModifiers(held...)))
}

// Type puts a text into an input in place of what is there, as typing does.
func (tab *Tab) Type(selector, text string) {
	tab.t.Helper()
	Eval[bool](tab, `(() => { const el = document.querySelector(`+quote(selector)+`); el.focus(); el.select?.(); return true; })()`)
	tab.do(chromedp.KeyEvent(text))
}

// Shot writes a picture of what the window shows.
func (tab *Tab) Shot(path string) {
	tab.t.Helper()
	tab.shot(path, chromedp.CaptureScreenshot())
}

// FullShot writes a picture of the whole page.
func (tab *Tab) FullShot(path string) {
	tab.t.Helper()
	tab.shot(path, chromedp.FullScreenshot(100))
}

func (tab *Tab) shot(path string, action chromedp.Action[[]byte]) {
	tab.t.Helper()
	picture, err := chromedp.Run(tab.ctx, action)
	if err == nil {
		err = os.WriteFile(path, picture, 0o600)
	}
	if err != nil {
		tab.t.Log(err)
	}
}

// Offline takes the page's connection away and that of the site's service workers, which are pages of their own to the browser, or gives them back.
func (tab *Tab) Offline(off bool) {
	tab.t.Helper()
	targets, err := chromedp.Targets(tab.ctx)
	if err != nil {
		tab.t.Fatal(err)
	}
	for _, info := range targets {
		if info.Type != "service_worker" {
			continue
		}
		if tab.workers[info.TargetID] == nil {
			ctx, stop := chromedp.NewContext(tab.ctx, chromedp.WithTargetID(info.TargetID))
			tab.t.Cleanup(stop)
			tab.workers[info.TargetID] = ctx
		}
		tab.offline(tab.workers[info.TargetID], off)
	}
	tab.offline(tab.ctx, off)
}

func (tab *Tab) offline(ctx context.Context, off bool) {
	tab.t.Helper()
	params := network.OverrideNetworkStateParams{Offline: off, DownloadThroughput: -1, UploadThroughput: -1}
	if _, err := chromedp.Call(ctx, network.EmulateNetworkConditionsByRule, network.EmulateNetworkConditionsByRuleParams{
		MatchedNetworkConditions: []*network.Conditions{{Offline: off, DownloadThroughput: -1, UploadThroughput: -1}}}); err != nil {
		tab.t.Fatal(err)
	}
	if _, err := chromedp.Call(ctx, network.OverrideNetworkState, params); err != nil {
		tab.t.Fatal(err)
	}
}

// Quota says how many bytes the site of an address may keep on this device; less than 0 is the browser's own measure.
func (tab *Tab) Quota(address string, bytes float64) {
	tab.t.Helper()
	params := storage.OverrideQuotaForOriginParams{Origin: address}
	if bytes >= 0 {
		params.QuotaSize = &bytes
	}
	if _, err := chromedp.Call(tab.ctx, storage.OverrideQuotaForOrigin, params); err != nil {
		tab.t.Fatal(err)
	}
}

// NoScript switches scripts off for the pages that are opened from now on; the test's own expressions still run.
func (tab *Tab) NoScript() {
	tab.t.Helper()
	if _, err := chromedp.Call(tab.ctx, emulation.SetScriptExecutionDisabled, emulation.SetScriptExecutionDisabledParams{Value: true}); err != nil {
		tab.t.Fatal(err)
	}
}

// Media makes the pages of the tab see these media features, "prefers-color-scheme" and the like.
func (tab *Tab) Media(features map[string]string) {
	tab.t.Helper()
	var list []*emulation.MediaFeature
	for name, value := range features {
		list = append(list, &emulation.MediaFeature{Name: name, Value: value})
	}
	if _, err := chromedp.Call(tab.ctx, emulation.SetEmulatedMedia, emulation.SetEmulatedMediaParams{Features: list}); err != nil {
		tab.t.Fatal(err)
	}
}

// Fresh makes the tab fetch everything anew from now on: no cache, and no service worker between.
func (tab *Tab) Fresh() {
	tab.t.Helper()
	if _, err := chromedp.Call(tab.ctx, network.SetCacheDisabled, network.SetCacheDisabledParams{CacheDisabled: true}); err != nil {
		tab.t.Fatal(err)
	}
	if _, err := chromedp.Call(tab.ctx, network.SetBypassServiceWorker, network.SetBypassServiceWorkerParams{Bypass: true}); err != nil {
		tab.t.Fatal(err)
	}
}

// Slow lets the tab's connection take trip seconds there and back and give at most down bytes a second.
func (tab *Tab) Slow(trip, down float64) {
	tab.t.Helper()
	if _, err := chromedp.Call(tab.ctx, network.EmulateNetworkConditionsByRule, network.EmulateNetworkConditionsByRuleParams{
		MatchedNetworkConditions: []*network.Conditions{{Latency: trip * 1000, DownloadThroughput: down, UploadThroughput: -1}}}); err != nil {
		tab.t.Fatal(err)
	}
}
