package templates

import (
	"encoding/json"
	"errors"
	"fmt"
	"io/fs"
	"maps"
	"path"
	"slices"
	"strings"
	"sync"

	"github.com/evanw/esbuild/pkg/api"
)

// bundle is what the pages' scripts are joined to: the files as they are sent, by name.
type bundle struct {
	files  map[string][]byte
	joined map[string]bool // the modules that are in one of the files
}

// bundled joins the modules of every page, once for the program: a phone on a slow connection asks for one script and not for thirty, one after
// another.
var bundled = sync.OnceValues(func() (bundle, error) { return joinModules(files, entries()) })

// WorkerScript is the service worker's module.
const WorkerScript = "offline/worker.js"

// frameScript is what runs on every page.
const frameScript = "part/part.js"

// entries are the files to join, by the name that they are sent under, with the modules that each runs: every page has one file, in which what runs on every page comes
// first; the service worker has its own.
func entries() map[string][]string {
	list := map[string][]string{frameScript: {frameScript}, WorkerScript: {WorkerScript}}
	for _, p := range pages() {
		if own := ofKind(p.own(), ".js"); len(own) > 0 {
			list[p.script()] = append([]string{frameScript}, own...)
		}
	}
	return list
}

// script is the one script that the page links.
func (p page) script() string {
	if own := ofKind(p.own(), ".js"); len(own) > 0 {
		return own[0]
	}
	return frameScript
}

// bundleRoot stands for the root of the embedded files in the bundler's paths, embedded for where they come from, joint for a file that only imports the modules
// of one entry.
const (
	bundleRoot = "/"
	embedded   = "embedded"
	joint      = "joint"
)

// joinModules bundles the modules of each entry of source. An import of a file that is not there is an error.
func joinModules(source fs.FS, entries map[string][]string) (bundle, error) {
	var points []api.EntryPoint
	for _, name := range slices.Sorted(maps.Keys(entries)) {
		points = append(points, api.EntryPoint{InputPath: joint + ":" + name, OutputPath: strings.TrimSuffix(name, ".js")})
	}
	result := api.Build(api.BuildOptions{
		EntryPointsAdvanced: points, Outdir: bundleRoot, AbsWorkingDir: bundleRoot,
		Bundle: true, Metafile: true, Format: api.FormatESModule, Target: api.ES2022, Charset: api.CharsetUTF8, LogLevel: api.LogLevelSilent,
		MinifyWhitespace: true, MinifySyntax: true, MinifyIdentifiers: true,
		Plugins: []api.Plugin{readFrom(source, entries)},
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

// readFrom makes the bundler read a file system instead of the disk, and an entry as the imports of its modules.
func readFrom(source fs.FS, entries map[string][]string) api.Plugin {
	return api.Plugin{Name: embedded, Setup: func(build api.PluginBuild) {
		build.OnResolve(api.OnResolveOptions{Filter: ".*"}, func(a api.OnResolveArgs) (api.OnResolveResult, error) {
			switch {
			case a.Kind == api.ResolveEntryPoint:
				return api.OnResolveResult{Path: strings.TrimPrefix(a.Path, joint+":"), Namespace: joint}, nil
			case a.Namespace == joint:
				return api.OnResolveResult{Path: a.Path, Namespace: embedded}, nil
			}
			return api.OnResolveResult{Path: path.Join(path.Dir(a.Importer), a.Path), Namespace: embedded}, nil
		})
		build.OnLoad(api.OnLoadOptions{Filter: ".*", Namespace: joint}, func(a api.OnLoadArgs) (api.OnLoadResult, error) {
			var text strings.Builder
			for _, module := range entries[a.Path] {
				fmt.Fprintf(&text, "import %q;\n", module)
			}
			imports := text.String()
			return api.OnLoadResult{Contents: &imports, Loader: api.LoaderJS}, nil
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

// smaller takes comments and spaces out of a style sheet. A sheet that cannot be read is an error.
func smaller(css []byte) ([]byte, error) {
	result := api.Transform(string(css), api.TransformOptions{Loader: api.LoaderCSS, MinifyWhitespace: true, Charset: api.CharsetUTF8, LogLevel: api.LogLevelSilent})
	if len(result.Errors) > 0 {
		return nil, fmt.Errorf("read the styles: %w", messages(result.Errors))
	}
	return result.Code, nil
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

// read takes over the bundler's own list of what is in the files.
func (b *bundle) read(metafile string) error {
	var meta struct{ Inputs map[string]struct{} }
	if err := json.Unmarshal([]byte(metafile), &meta); err != nil {
		return fmt.Errorf("read the list of scripts: %w", err)
	}
	b.joined = map[string]bool{}
	for name := range meta.Inputs {
		if module, ok := strings.CutPrefix(name, embedded+":"); ok {
			b.joined[module] = true
		}
	}
	return nil
}
