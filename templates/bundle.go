package templates

import (
	"encoding/json"
	"errors"
	"fmt"
	"io/fs"
	"path"
	"slices"
	"strings"
	"sync"

	"github.com/evanw/esbuild/pkg/api"
)

// bundle is what the pages' scripts are joined to: the files as they are sent, by name, and what each of them imports, directly or not.
type bundle struct {
	files   map[string][]byte
	imports map[string][]string
	joined  map[string]bool // the modules that are in one of the files
}

// bundled joins the modules of every page, once for the program: a phone on a slow connection asks for two or three files and not for thirty, one
// after another. Modules that several pages import lie in files of their own (folder chunk), so that one page runs each of them once.
var bundled = sync.OnceValues(func() (bundle, error) { return joinModules(files, entries()) })

// WorkerScript is the service worker's module.
const WorkerScript = "offline/worker.js"

// entries are the scripts that pages link, and the service worker.
func entries() []string {
	list := []string{"part/part.js", WorkerScript}
	for _, p := range pages() {
		list = append(list, ofKind(p.own(), ".js")...)
	}
	return list
}

// bundleRoot stands for the root of the embedded files in the bundler's paths, embedded for where they come from.
const (
	bundleRoot = "/"
	embedded   = "embedded"
)

// joinModules bundles the entry modules of source. An import of a file that is not there is an error.
func joinModules(source fs.FS, entries []string) (bundle, error) {
	result := api.Build(api.BuildOptions{
		EntryPoints: entries, Outdir: bundleRoot, Outbase: bundleRoot, AbsWorkingDir: bundleRoot, ChunkNames: "chunk/[name]-[hash]",
		Bundle: true, Splitting: true, Metafile: true, Format: api.FormatESModule, Target: api.ES2022, Charset: api.CharsetUTF8, LogLevel: api.LogLevelSilent,
		MinifyWhitespace: true, MinifySyntax: true, MinifyIdentifiers: true,
		Plugins: []api.Plugin{readFrom(source)},
	})
	if len(result.Errors) > 0 {
		return bundle{}, fmt.Errorf("join the scripts: %w", messages(result.Errors))
	}
	b := bundle{files: map[string][]byte{}}
	for _, f := range result.OutputFiles {
		b.files[strings.TrimPrefix(f.Path, bundleRoot)] = f.Contents
	}
	return b, b.read(result.Metafile)
}

// readFrom makes the bundler read a file system instead of the disk.
func readFrom(source fs.FS) api.Plugin {
	return api.Plugin{Name: embedded, Setup: func(build api.PluginBuild) {
		build.OnResolve(api.OnResolveOptions{Filter: ".*"}, func(a api.OnResolveArgs) (api.OnResolveResult, error) {
			name := a.Path
			if a.Kind != api.ResolveEntryPoint {
				name = path.Join(path.Dir(a.Importer), a.Path)
			}
			return api.OnResolveResult{Path: name, Namespace: embedded}, nil
		})
		build.OnLoad(api.OnLoadOptions{Filter: ".*", Namespace: embedded}, func(a api.OnLoadArgs) (api.OnLoadResult, error) {
			body, err := fs.ReadFile(source, a.Path)
			if err != nil {
				return api.OnLoadResult{}, err
			}
			text := string(body)
			return api.OnLoadResult{Contents: &text, Loader: api.LoaderJS}, nil
		})
	}}
}

func messages(list []api.Message) error {
	var all []error
	for _, m := range list {
		where := ""
		if m.Location != nil {
			where = fmt.Sprintf("%s:%d: ", m.Location.File, m.Location.Line)
		}
		all = append(all, errors.New(where+m.Text))
	}
	return errors.Join(all...)
}

// read takes over the bundler's own list of what is in each file and what it imports, and follows the imports.
func (b *bundle) read(metafile string) error {
	var meta struct {
		Inputs  map[string]struct{}
		Outputs map[string]struct {
			Imports []struct{ Path string }
		}
	}
	if err := json.Unmarshal([]byte(metafile), &meta); err != nil {
		return fmt.Errorf("read the list of scripts: %w", err)
	}
	b.imports, b.joined = map[string][]string{}, map[string]bool{}
	for name := range meta.Inputs {
		b.joined[strings.TrimPrefix(name, embedded+":")] = true
	}
	var follow func(from, file string)
	follow = func(from, file string) {
		for _, i := range meta.Outputs[file].Imports {
			if name := strings.TrimPrefix(i.Path, bundleRoot); !slices.Contains(b.imports[from], name) {
				b.imports[from] = append(b.imports[from], name)
				follow(from, i.Path)
			}
		}
	}
	for file := range meta.Outputs {
		follow(strings.TrimPrefix(file, bundleRoot), file)
	}
	return nil
}
