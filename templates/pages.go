package templates

// page is one page with every file it owns. files are in the order in which they are parsed; name.css and name.js are linked from
// the page, other scripts are modules that name.js imports. To add a page: make its folder, list it here and name the folder in the
// embed line of templates.go.
type page struct {
	name  string
	files []string
}

// partBundle is the one file in which the parts' styles are sent.
const partBundle = "part/part.css"

// pages lists every page.
func pages() []page {
	return []page{
		{"surveys", []string{"surveys/surveys.html", "surveys/surveys.css"}},
		{"newsurvey", []string{"newsurvey/newsurvey.html"}},
		{"deck", []string{"deck/deck.html", "deck/deck.css"}},
		{"plan", []string{"plan/plan.html", "ceiling/sheet.html", "plan/plan.css"}},
		{"sheets", []string{"sheets/sheets.html", "ceiling/sheet.html", "sheets/sheets.css"}},
		{"ceiling", []string{"ceiling/ceiling.html", "ceiling/sheet.html", "ceiling/ceiling.css", "ceiling/ceiling.js"}},
		{"report", []string{"report/report.html", "ceiling/sheet.html", "report/report.css"}},
		{"cover", []string{"cover/cover.html", "cover/cover.css"}},
		{"leave", []string{"leave/leave.html", "leave/leave.css"}},
		{"photos", []string{"photos/photos.html", "photos/photos.css", "photos/photos.js", "photos/upload.js", "photos/preview.js"}},
		{"photo", []string{
			"photo/photo.html", "photo/pinform.html", "photo/photo.css", "photo/photo.js", "photo/aim.js", "photo/ceiling.js", "photo/chips.js", "photo/conflict.js", "photo/dom.js", "photo/form.js",
			"photo/geometry.js", "photo/gestures.js", "photo/keys.js", "photo/layer.js", "photo/leaders.js", "photo/lens.js", "photo/list.js", "photo/moves.js", "photo/net.js", "photo/news.js",
			"photo/pins.js", "photo/pinview.js", "photo/placing.js", "photo/stage.js", "photo/tools.js", "photo/words.js",
		}},
		{"remove", []string{"remove/remove.html", "remove/remove.css"}},
		{"failure", []string{"failure/failure.html"}},
	}
}

// partFiles lists what all pages share; the styles are joined in this order.
func partFiles() []string {
	return []string{
		"part/base.html", "part/nav.html", "part/sprite.html", "part/pinmarks.html", "part/pinned-photo.html", "part/ceiling-over.html", "part/caution.html", "part/source.html", "part/field.html", "part/outcome.html",
		"part/tokens.css", "part/base.css", "part/frame.css", "part/button.css", "part/field.css", "part/table.css", "part/source.css",
		"part/caution.css", "part/pin.css", "part/sheet.css", "part/print.css",
		"part/part.js", "part/lengthfield.js", "part/keepform.js", "part/printpage.js", "part/uuid.js",
		"part/icon.svg",
	}
}
