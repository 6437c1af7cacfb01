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
	b, err := joinModules(source, []string{"part/part.js", "photo/photo.js"})
	if err != nil {
		t.Fatal(err)
	}
	shared := b.imports["photo/photo.js"]
	if len(shared) != 1 || !strings.HasPrefix(shared[0], "chunk/") || len(b.imports["part/part.js"]) != 1 || b.imports["part/part.js"][0] != shared[0] {
		t.Fatalf("both pages should share one file: %v", b.imports)
	}
	if len(b.files) != 3 {
		t.Errorf("got %d files, want the two pages' and the shared one", len(b.files))
	}
	photo := string(b.files["photo/photo.js"])
	if !strings.Contains(photo, "ménsula") || !strings.Contains(photo, `"../`+shared[0]+`"`) {
		t.Errorf("the page's file should hold its own modules and import the shared one: %s", photo)
	}
}

func TestJoinModulesRefusesWhatIsNotThere(t *testing.T) {
	_, err := joinModules(fstest.MapFS{"part/part.js": {Data: []byte("import './lost.js';")}}, []string{"part/part.js"})
	if err == nil || !strings.Contains(err.Error(), "part/lost.js") {
		t.Errorf("got %v, want an error that names part/lost.js", err)
	}
	_, err = joinModules(fstest.MapFS{"part/part.js": {Data: []byte("const = 1;")}}, []string{"part/part.js"})
	if err == nil || !strings.Contains(err.Error(), "part/part.js:1") {
		t.Errorf("got %v, want an error that names the line", err)
	}
}

func TestPagesPreloadWhatTheirScriptsImport(t *testing.T) {
	set, err := Load()
	if err != nil {
		t.Fatal(err)
	}
	for _, file := range set.StaticFiles() {
		for _, chunk := range set.scripts.imports[file] {
			if _, ok := set.static[chunk]; !ok {
				t.Errorf("%s imports %s, which is not sent", file, chunk)
			}
		}
	}
	shared := 0
	for _, p := range pages() {
		links := set.links(p)
		for _, chunk := range set.scripts.imports[p.name+"/"+p.name+".js"] {
			shared++
			if !strings.Contains(links, `<link rel="modulepreload" href="`+set.Address(chunk)+`">`) {
				t.Errorf("page %s does not preload %s", p.name, chunk)
			}
		}
	}
	if shared == 0 {
		t.Error("no page shares a module: the test does not read them")
	}
}
