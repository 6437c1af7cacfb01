package web

import (
	"bufio"
	"context"
	"encoding/json"
	"os"
	"os/exec"
	"path/filepath"
	"regexp"
	"strings"
	"testing"

	"undercroft/survey/web/internal/browser"
)

// startDemo builds the program, runs its demo on a free port and gives the address that it prints.
func startDemo(t *testing.T) string {
	t.Helper()
	program := filepath.Join(t.TempDir(), "undercroft")
	if out, err := exec.Command("go", "build", "-o", program, "undercroft/cmd/undercroft").CombinedOutput(); err != nil {
		t.Fatalf("build: %v\n%s", err, out)
	}
	ctx, stop := context.WithCancel(context.Background())
	demo := exec.CommandContext(ctx, program, "demo", "--addr", "127.0.0.1:0")
	demo.Cancel = func() error { return demo.Process.Signal(os.Interrupt) }
	out, err := demo.StdoutPipe()
	if err != nil {
		t.Fatal(err)
	}
	if err := demo.Start(); err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() {
		stop()
		_ = demo.Wait() // ended by the signal above
	})
	address := regexp.MustCompile(`http://[0-9.:]+`)
	for lines := bufio.NewScanner(out); lines.Scan(); {
		if found := address.FindString(lines.Text()); found != "" {
			go func() {
				for lines.Scan() { // the program is not to wait for a reader
				}
			}()
			return found
		}
	}
	t.Fatal("the demo ended without an address")
	return ""
}

// crawl opens the site at its home page and follows every link of it, one of each sort of address, and gives the addresses in the order they were found.
func crawl(tab *browser.Tab, base string) []string {
	sort := regexp.MustCompile(`(kind|pin|fact|about)=.*|[0-9a-f]{8}-[0-9a-f-]{27}|[0-9]+`)
	seen := map[string]bool{}
	found := []string{base + "/surveys"}
	for i := 0; i < len(found); i++ {
		tab.Go(found[i])
		links := browser.Eval[[]string](tab, `[...document.querySelectorAll('a[href]:not([download])')].map((a) => new URL(a.getAttribute('href'), location).href)`)
		for _, link := range links {
			link, _, _ = strings.Cut(link, "#")
			kind := sort.ReplaceAllString(link, "=*")
			if !strings.HasPrefix(link, base+"/") || seen[kind] || isFile(link) {
				continue
			}
			seen[kind] = true
			found = append(found, link)
		}
	}
	return found
}

// isFile tells whether a link leads to something other than a page.
func isFile(link string) bool {
	path, _, _ := strings.Cut(link, "?")
	switch filepath.Ext(path) {
	case ".html", ".pdf", ".csv", ".json", ".jpg", ".zip":
		return true
	}
	return strings.HasSuffix(path, "/original")
}

// axeResult is what axe-core says of one page.
type axeResult struct {
	ID    string `json:"id"`
	Help  string `json:"help"`
	Nodes []struct {
		Target []any  `json:"target"`
		Fail   string `json:"failureSummary"`
	} `json:"nodes"`
}

// maxPageKB is the most that a page may take on the wire without its photos.
const maxPageKB = 150

// wireKB sums up what came over the wire for a page that was opened with empty caches, photos left out, in KB of 1,000 bytes (Resource Timing, transferSize).
const wireKB = `performance.getEntries().filter((e) => e.transferSize !== undefined && !/\.jpg(\?|$)/.test(e.name)).reduce((sum, e) => sum + e.transferSize, 0) / 1000`

// TestEveryPage opens every page that links of the demo lead to: at 320 px, which is also 1280 px at 400 % (WCAG 2.2, 1.4.10), nothing has to be scrolled
// sideways, axe-core finds no violation, in light on a phone and in dark at a desk, and without photos it takes at most maxPageKB.
func TestEveryPage(t *testing.T) {
	b := browser.Open(t)
	axe := axeSource(t)
	base := startDemo(t)
	phone, desk := b.Tab(320, 640, true), b.Tab(1280, 900, false)
	desk.Fresh()
	desk.Media(map[string]string{"prefers-color-scheme": "dark", "prefers-reduced-motion": "reduce"})
	pages := crawl(phone, base)
	if len(pages) < 15 {
		t.Errorf("found only %d pages: %v", len(pages), pages)
	}
	for _, page := range pages {
		name := strings.TrimPrefix(page, base)
		phone.Go(page)
		if wide := browser.Eval[float64](phone, `document.scrollingElement.scrollWidth`); wide > 320 {
			t.Errorf("%s is %g px wide on 320 px: %v", name, wide, browser.Eval[[]string](phone, tooWide))
		}
		desk.Go(page)
		if kb := browser.Eval[float64](desk, wireKB); kb > maxPageKB {
			t.Errorf("%s takes %.0f KB on the wire, more than %d", name, kb, maxPageKB)
		} else {
			t.Logf("%s takes %.0f KB on the wire", name, kb)
		}
		if axe == "" {
			continue
		}
		accuse(t, name+" at 320 px", runAxe(t, phone, axe))
		accuse(t, name+" at a desk, dark", runAxe(t, desk, axe))
	}
}

// tooWide finds the innermost elements that reach beyond 320 px and are not inside something that scrolls by itself.
const tooWide = `[...document.querySelectorAll('main *')].filter((el) => el.getBoundingClientRect().right > 321 && ![...el.children].some((c) => c.getBoundingClientRect().right > 321)
	&& !el.closest('svg svg')).slice(0, 5).map((el) => el.tagName + '.' + el.getAttribute('class') + ' ' + el.textContent.slice(0, 40))`

// axeSource reads axe-core from the file that the environment variable UNDERCROFT_AXE names. Without it the pages are not judged by it, but
// where a browser is required, axe-core is, too.
func axeSource(t *testing.T) string {
	path := os.Getenv("UNDERCROFT_AXE")
	if path == "" {
		if os.Getenv("UNDERCROFT_BROWSER") == "required" {
			t.Error("no axe-core: let UNDERCROFT_AXE name its axe.min.js (npm pack axe-core)")
		}
		return ""
	}
	body, err := os.ReadFile(path)
	if err != nil {
		t.Fatal(err)
	}
	return string(body)
}

func runAxe(t *testing.T, tab *browser.Tab, axe string) []axeResult {
	t.Helper()
	browser.Eval[bool](tab, axe+"\n;true")
	text := browser.Eval[string](tab, `axe.run(document, { resultTypes: ['violations'] }).then((r) => JSON.stringify(r.violations))`)
	var list []axeResult
	if err := json.Unmarshal([]byte(text), &list); err != nil {
		t.Fatal(err)
	}
	return list
}

func accuse(t *testing.T, where string, list []axeResult) {
	t.Helper()
	for _, v := range list {
		for i, node := range v.Nodes {
			if i < 3 {
				t.Errorf("%s: %s (%s) at %v: %s", where, v.ID, v.Help, node.Target, strings.ReplaceAll(node.Fail, "\n", " "))
			}
		}
	}
}
