package templates

import "slices"

// page is one page with every file it owns. files are in the order in which they are parsed; name.css and name.js are linked from
// the page unless linked names others, other scripts are modules that those import. To add a page: make its folder, list it here and name the
// folder in the embed line of templates.go.
type page struct {
	name   string
	files  []string
	linked []string
}

// own are the styles and scripts of the page's own that it links.
func (p page) own() []string {
	if p.linked != nil {
		return p.linked
	}
	var own []string
	for _, ending := range []string{".css", ".js"} {
		if file := p.name + "/" + p.name + ending; slices.Contains(p.files, file) {
			own = append(own, file)
		}
	}
	return own
}

// partBundle is the one file in which the parts' styles are sent.
const partBundle = "part/part.css"

// pages lists every page.
func pages() []page {
	return []page{
		{name: "surveys", files: []string{"surveys/surveys.html", "surveys/surveys.css"}},
		{name: "newsurvey", files: []string{"newsurvey/newsurvey.html"}},
		{name: "walk", files: []string{"walk/walk.html", "walk/walk.css", "walk/walk.js", "walk/slots.js"}},
		{name: "deck", files: []string{"deck/deck.html", "deck/deck.css"}},
		{name: "plan", files: []string{"plan/plan.html", "plan/outline.html", "ceiling/sheet.html", "plan/plan.css", "plan/plan.js"}},
		{name: "sheets", files: []string{"sheets/sheets.html", "ceiling/sheet.html", "sheets/sheets.css"}},
		{name: "ceiling", files: []string{"ceiling/ceiling.html", "ceiling/sheet.html", "ceiling/ceiling.css", "ceiling/ceiling.js"}},
		{name: "report", files: []string{"report/report.html", "ceiling/sheet.html", "report/report.css"}},
		{name: "revisions", files: []string{"revisions/revisions.html", "revisions/revisions.css", "revisions/revisions.js"}},
		{name: "history", files: []string{"history/history.html", "history/history.css"}},
		{name: "offer", files: []string{"report/report.html", "ceiling/sheet.html", "offer/frame.html", "offer/offer.html", "offer/offer.css", "offer/offer.js"}, linked: []string{"report/report.css", "offer/offer.css", "offer/offer.js"}},
		{name: "finish", files: []string{"finish/finish.html", "finish/finish.css"}},
		{name: "signoff", files: []string{"report/report.html", "ceiling/sheet.html", "offer/frame.html", "signoff/signoff.html", "offer/offer.css", "offer/offer.js"}, linked: []string{"report/report.css", "offer/offer.css", "offer/offer.js"}},
		{name: "link", files: []string{"link/link.html"}},
		{name: "scope", files: []string{"scope/scope.html"}},
		{name: "filing", files: []string{"filing/filing.html", "filing/filing.css"}},
		{name: "erase", files: []string{"erase/erase.html", "filing/filing.css"}, linked: []string{"filing/filing.css"}},
		{name: "erased", files: []string{"erase/erased.html"}},
		{name: "settings", files: []string{"settings/settings.html"}},
		{name: "cover", files: []string{"cover/cover.html", "cover/cover.css"}},
		{name: "leave", files: []string{"leave/leave.html", "leave/leave.css"}},
		{name: "review", files: []string{"review/review.html", "review/differences.html", "review/review.css"}},
		{name: "questions", files: []string{"questions/questions.html"}, linked: []string{"review/review.css"}},
		{name: "verified", files: []string{"verified/verified.html", "review/differences.html"}, linked: []string{"review/review.css"}},
		{name: "photos", files: []string{"photos/photos.html", "photos/photos.css", "photos/photos.js", "photos/take.js", "photos/preview.js"}},
		{name: "photo", files: []string{
			"photo/photo.html", "photo/pinform.html", "photo/photo.css", "photo/photo.js", "photo/aim.js", "photo/answers.js", "photo/ceiling.js", "photo/chips.js", "photo/conflict.js", "photo/dom.js", "photo/form.js",
			"photo/geometry.js", "photo/gestures.js", "photo/keys.js", "photo/layer.js", "photo/leaders.js", "photo/lens.js", "photo/list.js", "photo/moves.js", "photo/net.js", "photo/news.js",
			"photo/pins.js", "photo/pinview.js", "photo/placing.js", "photo/row.js", "photo/stage.js", "photo/structure.js", "photo/tools.js", "photo/words.js",
		}},
		{name: "photoshell", files: []string{"photo/photo.html", "photo/pinform.html", "offline/photoshell.js"}, linked: []string{"photo/photo.css", "offline/photoshell.js"}},
		{name: "waiting", files: []string{
			"offline/waiting.html", "offline/waiting.js", "offline/db.js", "offline/deliver.js", "offline/fields.js", "offline/formcatch.js", "offline/here.js", "offline/outbox.js", "offline/pagecache.js",
			"offline/row.js", "offline/same.js", "offline/sender.js", "offline/shells.js", "offline/sign.js", "offline/strip.js", "offline/turn.js", "offline/worker.js",
		}, linked: []string{"offline/waiting.js"}},
		{name: "remove", files: []string{"remove/remove.html", "remove/remove.css"}},
		{name: "signin", files: []string{"signin/signin.html", "signin/signin.css"}},
		{name: "account", files: []string{"account/account.html"}},
		{name: "failure", files: []string{"failure/failure.html"}},
	}
}

// partFiles lists what all pages share; the styles are joined in this order.
func partFiles() []string {
	return []string{
		"part/base.html", "part/nav.html", "part/sprite.html", "part/pinmarks.html", "part/pinned-photo.html", "part/ceiling-over.html", "part/caution.html", "part/source.html", "part/field.html", "part/outcome.html",
		"part/tokens.css", "part/base.css", "part/frame.css", "part/button.css", "part/field.css", "part/lengthpad.css", "part/table.css", "part/source.css",
		"part/caution.css", "part/waiting.css", "part/pin.css", "part/sheet.css", "part/print.css",
		"part/part.js", "part/lengthfield.js", "part/lengthpad.js", "part/lengthpadkeys.js", "part/padkept.js", "part/padview.js", "part/typeset.js", "part/keepform.js", "part/printpage.js", "part/uuid.js",
		"part/icon.svg",
	}
}
