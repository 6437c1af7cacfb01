package templates

import (
	"strings"
	"testing"
	"testing/fstest"
)

func TestJoinModules(t *testing.T) {
	source := fstest.MapFS{
		"part/uuid.js":   {Data: []byte("let made = 0;\nexport const next = () => ++made;\n")},
		"part/part.js":   {Data: []byte("import { next } from './uuid.js';\nconsole.info(next());\n")},
		"photo/photo.js": {Data: []byte("import { next } from '../part/uuid.js';\nimport { name } from './words.js';\nconsole.info(name, next());\n")},
		"photo/words.js": {Data: []byte("export const name = 'ménsula';\n")},
	}
	b, err := joinModules(source, map[string][]string{"part/part.js": {"part/part.js"}, "photo/photo.js": {"part/part.js", "photo/photo.js"}})
	if err != nil {
		t.Fatal(err)
	}
	if len(b.files) != 2 {
		t.Errorf("got %d files, want one for each entry", len(b.files))
	}
	photo := string(b.files["photo/photo.js"])
	if !strings.Contains(photo, "ménsula") || strings.Contains(photo, "import") || strings.Count(photo, "console.info") != 2 {
		t.Errorf("the page's file should run both of its modules and import nothing: %s", photo)
	}
	if strings.Count(photo, "++") != 1 {
		t.Errorf("a module that both import should be in it once: %s", photo)
	}
}

func TestJoinModulesRefusesWhatIsNotThere(t *testing.T) {
	_, err := joinModules(fstest.MapFS{"part/part.js": {Data: []byte("import './lost.js';")}}, map[string][]string{"part/part.js": {"part/part.js"}})
	if err == nil || !strings.Contains(err.Error(), "part/lost.js") {
		t.Errorf("got %v, want an error that names part/lost.js", err)
	}
	_, err = joinModules(fstest.MapFS{"part/part.js": {Data: []byte("const = 1;")}}, map[string][]string{"part/part.js": {"part/part.js"}})
	if err == nil || !strings.Contains(err.Error(), "part/part.js:1") {
		t.Errorf("got %v, want an error that names the line", err)
	}
}

func TestPagesLinkOneScript(t *testing.T) {
	set, err := Load()
	if err != nil {
		t.Fatal(err)
	}
	own := 0
	for _, p := range pages() {
		links := set.links(p)
		if strings.Count(links, "<script") != 1 || !strings.Contains(links, `src="`+set.Address(p.script())+`"`) {
			t.Errorf("page %s links %s", p.name, links)
		}
		if _, ok := set.static[p.script()]; !ok {
			t.Errorf("page %s links %s, which is not sent", p.name, p.script())
		}
		if p.script() != frameScript {
			own++
		}
	}
	if own == 0 {
		t.Error("no page has a script of its own: the test does not read them")
	}
}

func TestStylesAreMadeSmaller(t *testing.T) {
	got, err := smaller([]byte("/* why */\n.sheet { color : var(--ink) ; }\n@media print { .sheet::before { content: \"· \"; } }\n"))
	if want := ".sheet{color:var(--ink)}@media print{.sheet:before{content:\"· \"}}\n"; err != nil || strings.ReplaceAll(string(got), "::", ":") != want {
		t.Errorf("got %q, %v, want %q", got, err, want)
	}
}
