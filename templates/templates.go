// Package templates holds the pages: HTML, styles and scripts, embedded in the binary.
//
// A page owns a folder, photo/photo.html with photo/photo.css and photo/photo.js beside it; what several pages share lies in part.
// pages.go lists every page with its files, and Load fails when an embedded file belongs to no page, so that nothing lies about
// unused. Pages fill the layout "base" by defining "main". Values reach a page only through its data struct; there is no script,
// style or markup made from data anywhere, and html/template's typed strings (HTML, JS, CSS, URL) are not used.
//
// Styles and scripts are served under one hash of the whole tree, so that they may be cached for ever and relative imports between
// modules keep working.
package templates

import (
	"bytes"
	"crypto/sha256"
	"embed"
	"encoding/hex"
	"fmt"
	"html/template"
	"io/fs"
	"slices"
	"strings"
)

// A page whose folder is not named here is not in the binary.
//
//go:embed part offline history surveys newsurvey walk deck failure plan ceiling cover leave report revisions offer finish signoff link scope settings filing erase sheets photo photos remove signin account review questions verified
var files embed.FS

// Set is every page, parsed, and every static file. It is safe for use by several goroutines.
type Set struct {
	hash    string
	scripts bundle
	pages   map[string]*template.Template
	static  map[string]Static
}

// Static is one style, script or picture as it is sent.
type Static struct {
	Type string // media type with its charset
	Body []byte
}

// Load parses all pages. It fails on a template that does not parse, on a listed file that is missing and on an embedded file that
// no list names.
func Load() (*Set, error) {
	if err := checkListed(files, listedFiles()); err != nil {
		return nil, err
	}
	hash, err := treeHash()
	if err != nil {
		return nil, err
	}
	scripts, err := bundled()
	if err != nil {
		return nil, err
	}
	set := &Set{hash: hash, scripts: scripts, pages: map[string]*template.Template{}, static: map[string]Static{}}
	if err := set.loadStatic(); err != nil {
		return nil, err
	}
	parts, err := template.New("parts").Funcs(functions()).ParseFS(files, ofKind(partFiles(), ".html")...)
	if err != nil {
		return nil, fmt.Errorf("parse the parts: %w", err)
	}
	for _, p := range pages() {
		t, err := set.parsePage(parts, p)
		if err != nil {
			return nil, fmt.Errorf("parse page %s: %w", p.name, err)
		}
		set.pages[p.name] = t
	}
	return set, nil
}

// Has tells whether there is a page of this name.
func (s *Set) Has(page string) bool { return s.pages[page] != nil }

// Template is the layout of one page, ready to be executed or checked; nil when there is no such page.
func (s *Set) Template(page string) *template.Template { return s.pages[page] }

// Pages lists the names of all pages, sorted.
func (s *Set) Pages() []string {
	names := make([]string, 0, len(s.pages))
	for name := range s.pages {
		names = append(names, name)
	}
	slices.Sort(names)
	return names
}

// Render executes a page with its data and gives the whole of it, or an error and nothing.
func (s *Set) Render(page string, data any) ([]byte, error) {
	t := s.pages[page]
	if t == nil {
		return nil, fmt.Errorf("there is no page %q", page)
	}
	var out bytes.Buffer
	if err := t.Execute(&out, data); err != nil {
		return nil, fmt.Errorf("render page %s: %w", page, err)
	}
	return out.Bytes(), nil
}

// Static finds a file by the three segments of its address, /static/hash/folder/name; false when the hash is not that of this binary
// or there is no such file.
func (s *Set) Static(hash, folder, name string) (Static, bool) {
	if hash != s.hash {
		return Static{}, false
	}
	f, ok := s.static[folder+"/"+name]
	return f, ok
}

// Hash is the hash of the whole tree that is in the addresses of static files.
func (s *Set) Hash() string { return s.hash }

// Linked lists the addresses of all static files that pages link or their scripts import, sorted: what a phone must have to show any page.
func (s *Set) Linked() []string {
	var list []string
	for name := range s.static {
		if _, sent := s.scripts.files[name]; sent || !s.scripts.joined[name] {
			list = append(list, s.Address(name))
		}
	}
	slices.Sort(list)
	return list
}

// Address is where a static file, "photo/photo.js", is served.
func (s *Set) Address(file string) string { return "/static/" + s.hash + "/" + file }

// StaticFiles lists the static files, sorted.
func (s *Set) StaticFiles() []string {
	names := make([]string, 0, len(s.static))
	for name := range s.static {
		names = append(names, name)
	}
	slices.Sort(names)
	return names
}

// parsePage clones the parts, adds the page's own templates and the links to its styles and scripts, and gives its layout.
func (s *Set) parsePage(parts *template.Template, p page) (*template.Template, error) {
	t, err := parts.Clone()
	if err != nil {
		return nil, err
	}
	if t, err = t.ParseFS(files, ofKind(p.files, ".html")...); err != nil {
		return nil, err
	}
	if t, err = t.New("links").Parse(s.links(p)); err != nil {
		return nil, err
	}
	return t.Lookup("base"), nil
}

// links are the head's elements that load a page's styles and scripts: the shared ones first, then those named like the page.
func (s *Set) links(p page) string {
	var b strings.Builder
	style := func(file string) { fmt.Fprintf(&b, "<link rel=\"stylesheet\" href=\"%s\">\n", s.Address(file)) }
	fmt.Fprintf(&b, "<link rel=\"icon\" type=\"image/svg+xml\" href=\"%s\">\n", s.Address("part/icon.svg"))
	style(partBundle)
	for _, file := range ofKind(p.own(), ".css") {
		style(file)
	}
	fmt.Fprintf(&b, "<script type=\"module\" src=\"%s\"></script>\n", s.Address(p.script()))
	return b.String()
}

// loadStatic fills the static files: the styles of the parts as one, the scripts that pages link joined with what they import. The modules that were joined
// can be had by themselves, too.
func (s *Set) loadStatic() error {
	var styles []byte
	for _, name := range listedFiles() {
		if strings.HasSuffix(name, ".html") {
			continue
		}
		body, err := files.ReadFile(name)
		if err != nil {
			return err
		}
		if strings.HasSuffix(name, ".css") {
			if body, err = smaller(body); err != nil {
				return fmt.Errorf("%s: %w", name, err)
			}
		}
		if strings.HasPrefix(name, "part/") && strings.HasSuffix(name, ".css") {
			styles = append(styles, body...)
			continue
		}
		s.static[name] = Static{Type: mediaType(name), Body: body}
	}
	s.static[partBundle] = Static{Type: mediaType(partBundle), Body: styles}
	for name, body := range s.scripts.files {
		s.static[name] = Static{Type: mediaType(name), Body: body}
	}
	return nil
}

// mediaType is by the name's ending, from a closed list.
func mediaType(name string) string {
	switch {
	case strings.HasSuffix(name, ".css"):
		return "text/css; charset=utf-8"
	case strings.HasSuffix(name, ".js"):
		return "text/javascript; charset=utf-8"
	case strings.HasSuffix(name, ".svg"):
		return "image/svg+xml"
	}
	return "application/octet-stream"
}

// treeHash is over names and contents of everything embedded.
func treeHash() (string, error) {
	sum := sha256.New()
	err := fs.WalkDir(files, ".", func(name string, d fs.DirEntry, err error) error {
		if err != nil || d.IsDir() {
			return err
		}
		body, err := files.ReadFile(name)
		fmt.Fprintf(sum, "%s %d\n", name, len(body))
		sum.Write(body)
		return err
	})
	return hex.EncodeToString(sum.Sum(nil)[:8]), err
}

// listedFiles are the files of the parts and of all pages.
func listedFiles() []string {
	listed := partFiles()
	for _, p := range pages() {
		listed = append(listed, p.files...)
	}
	return listed
}

// checkListed compares what is embedded with what is listed, in both directions.
func checkListed(embedded fs.FS, listed []string) error {
	for _, name := range listed {
		if _, err := fs.Stat(embedded, name); err != nil {
			return fmt.Errorf("the page list names %s: %w", name, err)
		}
	}
	return fs.WalkDir(embedded, ".", func(name string, d fs.DirEntry, err error) error {
		if err == nil && !d.IsDir() && !slices.Contains(listed, name) {
			return fmt.Errorf("the file %s is embedded but no page lists it", name)
		}
		return err
	})
}

// ofKind keeps the names with one ending.
func ofKind(names []string, ending string) []string {
	var kept []string
	for _, name := range names {
		if strings.HasSuffix(name, ending) {
			kept = append(kept, name)
		}
	}
	return kept
}
