package report

import (
	"cmp"
	"fmt"
	"maps"
	"slices"
	"strconv"

	"undercroft/calc"
	"undercroft/calc/length"
	"undercroft/calc/words"
	"undercroft/survey"
)

// Difference is one line of what has changed since a revision: what it is about, what it was and what it is now. Was or Now is empty for what came
// or went.
type Difference struct{ What, Was, Now string }

// ChangesSince lists what differs between a revision and the survey as it stands now, in a language, most telling first: the ceiling that would be built, then what was
// measured, then the photos and texts. It is empty when nothing differs.
func ChangesSince(old Content, r survey.Record, c survey.Ceiling, company survey.Company, lang words.Lang) []Difference {
	d := &differ{voice: voice{lang}, old: old, record: r}
	d.deck(c)
	d.texts()
	d.price()
	d.company(old.Company, company)
	return d.list
}

// deck compares the ceiling that would be built, what was measured, and the photos.
func (d *differ) deck(c survey.Ceiling) {
	d.ceiling(c)
	d.facts(func(key string) bool { return !priced(key) })
	d.pins()
	if !d.toClient {
		d.photos()
	}
}

// ceiling compares the ceiling that would be built.
func (d *differ) ceiling(c survey.Ceiling) {
	old := d.old.Plan
	switch {
	case old == nil && c.Plan != nil:
		d.add(d.in("The ceiling"), "", d.in("can be computed now"))
	case old != nil && c.Plan == nil:
		d.add(d.in("The ceiling"), d.in("was computed"), d.in("cannot be computed any more"))
	case old != nil:
		d.plans(*old, *c.Plan, thingsOf(d.record, c.Assembly, Links{voice: d.voice}))
	}
}

// price compares what was typed about the price.
func (d *differ) price() { d.facts(priced) }

func priced(key string) bool { return key == survey.ScopePrice || key == survey.ScopePriceAt }

// differ collects differences.
type differ struct {
	voice
	old    Content
	record survey.Record
	list   []Difference

	toClient bool // what is noted for the company alone is left out
}

// add notes a difference unless there is none, and once when the plan and what was typed tell the same.
func (d *differ) add(what, was, now string) {
	if diff := (Difference{what, was, now}); was != now && !slices.Contains(d.list, diff) {
		d.list = append(d.list, diff)
	}
}

// plans compares two computed ceilings: zones that are in both, part by part.
func (d *differ) plans(old, now calc.Plan, named things) {
	d.add(d.in("System profile"), old.System.Name, now.System.Name)
	d.add(d.in("Fall per foot"), typeset(old.FallPerFoot), typeset(now.FallPerFoot))
	before := map[string]calc.Zone{}
	for _, z := range old.Zones {
		before[z.ID] = z
	}
	for _, z := range now.Zones {
		was, ok := before[z.ID]
		delete(before, z.ID)
		if !ok {
			d.add(d.say("Zone %s", zoneName(z.ID)), "", d.say("%s ft²", decimal(z.AreaFt2, 1)))
			continue
		}
		d.zone(was, z, len(now.Zones) > 1)
		d.notches(was, z, named)
	}
	for _, id := range slices.Sorted(maps.Keys(before)) {
		d.add(d.say("Zone %s", zoneName(id)), d.say("%s ft²", decimal(before[id].AreaFt2, 1)), "")
	}
	if !d.toClient {
		d.takeoff(old.Takeoff, now.Takeoff)
	}
}

// zone compares the figures of one zone.
func (d *differ) zone(was, now calc.Zone, several bool) {
	of := func(what string) string {
		if several {
			return d.say("Zone %s: %s", zoneName(now.ID), what)
		}
		return what
	}
	d.add(of(d.in("Area")), d.say("%s ft²", decimal(was.AreaFt2, 1)), d.say("%s ft²", decimal(now.AreaFt2, 1)))
	d.add(of(d.in("Panels")), d.panelText(was), d.panelText(now))
	d.add(of(d.in("Carriers")), itoa(len(was.Carriers)), itoa(len(now.Carriers)))
	d.add(of(d.in("Furring")), d.furringText(was), d.furringText(now))
	d.add(of(d.in("Gutter")), d.gutterText(was), d.gutterText(now))
	for _, line := range d.gutterPlaces(was, now) {
		d.add(of(d.in("Gutter")), line[0], line[1])
	}
	low := func(z calc.Zone) string {
		if z.Headroom.Min == nil {
			return d.in("not measured")
		}
		return length.Inches(*z.Headroom.Min).Down16().Typeset()
	}
	d.add(of(d.in("Lowest ceiling")), low(was), low(now))
}

func (d *differ) panelText(z calc.Zone) string {
	return d.say("%d: first %s, last %s", len(z.Panels.Pieces), typeset(z.Panels.First), typeset(z.Panels.Last))
}

func (d *differ) furringText(z calc.Zone) string {
	thickest := 0.0
	for _, r := range z.Furring {
		thickest = max(thickest, r.Build)
	}
	return d.say("%s, to %s", d.count(len(z.Furring), "row", "rows"), typeset(thickest))
}

func (d *differ) gutterText(z calc.Zone) string {
	return d.say("%s long, %s, downspouts: %d", typeset(z.Gutter.Length), d.in(z.Gutter.Size), z.Gutter.Downspouts)
}

// gutterPlaces compares where the gutter's runs lie on the plan.
func (d *differ) gutterPlaces(was, now calc.Zone) [][2]string {
	place := func(z calc.Zone) string {
		text := ""
		for _, run := range z.Gutter.Lines {
			text = join(", ", text, d.say("from %s to %s", d.planPoint(run.P0.X, run.P0.Y), d.planPoint(run.P1.X, run.P1.Y)))
		}
		return text
	}
	return [][2]string{{place(was), place(now)}}
}

// notchKey is what a notch is known by when its figures change.
type notchKey struct {
	carrier int
	under   string
}

// notches compares the notches of one zone, carrier by carrier.
func (d *differ) notches(was, now calc.Zone, named things) {
	texts := func(z calc.Zone) map[notchKey]string {
		all := map[notchKey]string{}
		for _, n := range z.Notches {
			k := notchKey{n.Carrier, n.Obstruction}
			state := d.in("check on site")
			if n.State == "expected" {
				state = d.in("cut")
			}
			all[k] = join(", ", all[k], d.say("%s deep from %s to %s, %s", typeset(n.Depth), length.Inches(n.From).Down16().Typeset(), length.Inches(n.To).Up16().Typeset(), state))
		}
		return all
	}
	before, after := texts(was), texts(now)
	keys := maps.Clone(before)
	maps.Copy(keys, after)
	order := slices.SortedFunc(maps.Keys(keys), func(a, b notchKey) int {
		return cmp.Or(cmp.Compare(a.carrier, b.carrier), cmp.Compare(a.under, b.under))
	})
	for _, k := range order {
		d.add(d.say("Notch on carrier %d, zone %s, under %s", k.carrier, zoneName(now.ID), named.find(k.under).Label), before[k], after[k])
	}
}

// takeoff compares what is to be bought.
func (d *differ) takeoff(old, now []calc.Item) {
	text := func(it calc.Item) string {
		if it.Packs != nil {
			return d.buyText(*it.Packs, it.Pack)
		}
		return d.needText(it)
	}
	before := map[string]calc.Item{}
	key := func(it calc.Item) string {
		return it.Item + " " + strconv.FormatFloat(it.Length, 'f', -1, 64) + it.Label
	}
	for _, it := range old {
		before[key(it)] = it
	}
	for _, it := range now {
		was := ""
		if b, ok := before[key(it)]; ok {
			was = text(b)
		}
		delete(before, key(it))
		d.add(d.itemLabel(it), was, text(it))
	}
	said := d.old.said(d.lang)
	for _, k := range slices.Sorted(maps.Keys(before)) {
		label := voice{}.itemLabel(before[k]) // a plan that was read from its JSON speaks English
		d.add(cmp.Or(said[label], label), text(before[k]), "")
	}
}

// facts compares what was typed under the keys that are wanted.
func (d *differ) facts(wanted func(key string) bool) {
	keys := maps.Clone(d.old.Facts)
	for key, f := range d.record.Facts {
		if f.Text != "" {
			keys[key] = f.Text
		}
	}
	for _, key := range slices.Sorted(maps.Keys(keys)) {
		f, ok := survey.FactField(d.record, key)
		if !ok || !wanted(key) || survey.Bookkeeping(key) {
			continue
		}
		d.add(d.label(f.Label), d.answer(f, d.old.Facts[key]), d.answer(f, d.record.Facts[key].Text))
	}
}

// answer is a typed text as it was understood, or as it is where it cannot be read.
func (d *differ) answer(f survey.Field, text string) string {
	if text == "" {
		return ""
	}
	if v, err := survey.ReadValue(f, text); err == nil && v.Read != "" {
		return typographic(d.read(f, v.Read))
	}
	return text
}

// pins compares the pins by number.
func (d *differ) pins() {
	before := map[survey.PinID]survey.Pin{}
	for _, p := range d.old.Pins {
		before[p.ID] = p
	}
	for _, p := range d.record.Pins {
		was, ok := before[p.ID]
		delete(before, p.ID)
		name := d.say("Pin %d, %s", p.Number, d.kindLabel(p.Kind))
		if !ok {
			d.add(name, "", d.in("new"))
			continue
		}
		d.pin(name, was, p)
	}
	for _, p := range d.old.Pins {
		if _, gone := before[p.ID]; gone {
			d.add(d.say("Pin %d, %s", p.Number, d.kindLabel(p.Kind)), d.in("was there"), "")
		}
	}
}

// pin compares one pin: its answers, its note and its place on the photo.
func (d *differ) pin(name string, was, now survey.Pin) {
	info, _ := survey.KindInfo(now.Kind)
	for _, f := range info.Fields {
		d.add(name+": "+d.in(f.Label), d.answer(f, was.Values[f.Key]), d.answer(f, now.Values[f.Key]))
	}
	if !d.toClient {
		d.add(name+": "+d.in("Note"), was.Note, now.Note)
	}
	if place := placeOf(was); place != placeOf(now) {
		d.add(name, "", d.in("moved on its photo"))
	}
}

func placeOf(p survey.Pin) string {
	text := fmt.Sprint(p.X, p.Y)
	if p.X2 != nil && p.Y2 != nil {
		text += fmt.Sprint(" ", *p.X2, *p.Y2)
	}
	return text
}

// photos compares which photos there are.
func (d *differ) photos() {
	before := map[survey.PhotoID]frozenPhoto{}
	for _, p := range d.old.Photos {
		before[p.ID] = p
	}
	for _, p := range d.record.Photos {
		was, ok := before[p.ID]
		delete(before, p.ID)
		if !ok {
			d.add(d.say("Photo %d", p.Number), "", d.in("new"))
			continue
		}
		d.add(d.say("Photo %d: caption", p.Number), was.Caption, p.Caption)
	}
	for _, p := range d.old.Photos {
		if _, gone := before[p.ID]; gone {
			d.add(d.say("Photo %d", p.Number), d.in("was there"), "")
		}
	}
}
