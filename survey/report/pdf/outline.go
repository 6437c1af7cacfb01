package pdf

import "github.com/carlos7ags/folio/core"

// heading of the outline with those below it.
type branch struct {
	bookmark
	kids []*branch
	ref  *core.PdfIndirectReference
	dict *core.PdfDictionary
}

// outline writes the bookmarks as a tree by their levels; only the first two levels stand open. It is nil without bookmarks.
func (f *file) outline() *core.PdfIndirectReference {
	if len(f.marks) == 0 {
		return nil
	}
	root := &branch{}
	stack := []*branch{root}
	for _, m := range f.marks {
		b := &branch{bookmark: m}
		for len(stack) > 1 && stack[len(stack)-1].level >= m.level {
			stack = stack[:len(stack)-1]
		}
		top := stack[len(stack)-1]
		top.kids = append(top.kids, b)
		stack = append(stack, b)
	}
	root.dict = dict("Type", name("Outlines"))
	root.ref = f.out.AddObject(root.dict)
	root.dict.Set("Count", core.NewPdfInteger(f.branches(root)))
	return root.ref
}

// branches writes what is below a branch and returns how many of its lines are seen when it is open.
func (f *file) branches(b *branch) int {
	seen := 0
	for _, k := range b.kids {
		k.dict = dict("Title", core.NewPdfTextString(k.title), "Parent", b.ref, "Dest", f.dest(k.page, k.y))
		k.ref = f.out.AddObject(k.dict)
	}
	for i, k := range b.kids {
		if i > 0 {
			k.dict.Set("Prev", b.kids[i-1].ref)
		}
		if i+1 < len(b.kids) {
			k.dict.Set("Next", b.kids[i+1].ref)
		}
		seen++
		if below := f.branches(k); below > 0 {
			if k.level > 1 {
				k.dict.Set("Count", core.NewPdfInteger(-below))
			} else {
				k.dict.Set("Count", core.NewPdfInteger(below))
				seen += below
			}
		}
	}
	if len(b.kids) > 0 {
		b.dict.Set("First", b.kids[0].ref)
		b.dict.Set("Last", b.kids[len(b.kids)-1].ref)
	}
	return seen
}
