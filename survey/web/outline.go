package web

import (
	"encoding/json"
	"fmt"
	"maps"
	"net/http"
	"slices"
	"strconv"
	"strings"

	"github.com/gin-gonic/gin"

	"undercroft/calc"
	"undercroft/calc/length"
	"undercroft/survey"
)

// anyPlace is the key of a fact whose lengths may be anything on the plan: what a jog's or an opening's lengths are read as.
const anyPlace = "edge.0.wall_end"

// outlineForm is what was sent to change the outline: what to do, with which side or corner, and what was typed.
type outlineForm struct {
	do    string
	index int
	text  map[string]string
	err   error
}

// errOutlineChanged is why nothing is done to an outline that is another one now.
var errOutlineChanged = survey.Errorf(survey.Conflict, "Somebody else changed the outline after the page was opened. Look at it as it is now; nothing of yours was saved yet.")

// changeOutline does one thing to the outline, its sides or its openings.
func (s *Server) changeOutline(c *gin.Context) error {
	sent, err := readForm(c)
	if err != nil {
		return err
	}
	r, err := s.record(c)
	if err != nil {
		return err
	}
	form := outlineForm{do: c.Request.PostForm.Get("do"), text: sent.text}
	if form.index, err = strconv.Atoi(c.Request.PostForm.Get("index")); err != nil {
		form.index = -1
	}
	if c.Request.PostForm.Get("was") != outlineState(r) {
		form.err = errOutlineChanged
		return s.showPlan(c, r, &form)
	}
	facts, pins, err := outlineChange(r, form, c.Request.PostForm.Get("state"))
	if err == nil {
		err = s.putOutline(c, r, facts, pins)
	}
	if survey.KindOf(err) == survey.Conflict {
		err = errOutlineChanged
	}
	if kind := survey.KindOf(err); kind == survey.Invalid || kind == survey.Conflict {
		form.err = err
		return s.showPlan(c, r, &form)
	}
	if err != nil {
		return err
	}
	to := surveyPath(r.Survey.ID) + "/plan"
	if form.index >= 0 && (form.do == "length" || form.do == "side") {
		to += "?side=" + strconv.Itoa(form.index)
	}
	return redirect(c, to+"#outline")
}

// putOutline saves what a change of the outline comes to.
func (s *Server) putOutline(c *gin.Context, r survey.Record, facts []survey.Fact, pins []survey.Pin) error {
	check := withFacts(r, facts)
	if err := survey.ValidateFacts(check, slices.DeleteFunc(slices.Clone(facts), func(f survey.Fact) bool { return f.Text == "" })); err != nil {
		return err
	}
	return s.putCeiling(c, r, facts, pins)
}

// outlineChange is what one thing done to the outline comes to: the facts and pins to save.
func outlineChange(r survey.Record, form outlineForm, state string) ([]survey.Fact, []survey.Pin, error) {
	g := survey.DrawnOutline(r)
	var err error
	switch form.do {
	case "length":
		return lengthen(r, g, form)
	case "jog":
		var j survey.Jog
		if j, err = readJog(form.text); err == nil {
			g, err = g.AddJog(form.index, j)
		}
	case "remove":
		g, err = g.Remove(form.index)
	case "square":
		g, err = g.Square()
	case "taped":
		q := survey.CheckSquare(r)
		if q.Corners == nil {
			return nil, nil, survey.Errorf(survey.Invalid, "Width, both ends and both diagonals are needed, and must agree.")
		}
		g.Corners = q.Corners
	case "side":
		return sideFacts(r, form), nil, nil
	case "hole":
		fact, err := readHole(r, form.text)
		return []survey.Fact{fact}, nil, err
	case "fill":
		key := form.text["hole"]
		if _, ok := survey.Holes(r)[key]; !ok {
			return nil, nil, survey.Errorf(survey.Invalid, "There is no such opening.")
		}
		return []survey.Fact{{Survey: r.Survey.ID, Key: key, Version: r.Facts[key].Version}}, nil, nil
	case "zones":
		return zoneFacts(r, form.text), nil, nil
	case "restore":
		return restoreOutline(r, state)
	default:
		err = survey.Errorf(survey.Invalid, "Nothing is known to do with the outline.")
	}
	if err != nil {
		return nil, nil, err
	}
	facts, pins := survey.OutlineFacts(r, g)
	return facts, pins, nil
}

// lengthen gives a side its length: of a plain rectangle that is the deck's width or projection.
func lengthen(r survey.Record, g survey.Ring, form outlineForm) ([]survey.Fact, []survey.Pin, error) {
	to, err := length.Parse(form.text["length"])
	if err != nil {
		return nil, nil, lengthProblem("length", form.text["length"])
	}
	if r.Facts["outline"].Text == "" && form.index >= 0 && form.index < 4 && len(g.Corners) == 4 {
		key := []string{"width", "projection"}[form.index%2]
		return []survey.Fact{{Survey: r.Survey.ID, Key: key, Text: form.text["length"], Version: r.Facts[key].Version}}, nil, nil
	}
	if g, err = g.Lengthen(form.index, to); err != nil {
		return nil, nil, err
	}
	facts, pins := survey.OutlineFacts(r, g)
	return facts, pins, nil
}

// lengthProblem is the error of a length that cannot be read, beside its field.
func lengthProblem(key, text string) error {
	return &survey.Error{Kind: survey.Invalid, Message: "A length could not be read.", Fields: map[string]string{key: fmt.Sprintf("%q is not a length. Write 12' 6\" or 150.", text)}}
}

// lengths reads several lengths; a key that ends in "?" may be empty and is 0 then.
func lengths(text map[string]string, keys ...string) ([]length.Inches, error) {
	var list []length.Inches
	for _, key := range keys {
		name, optional := strings.CutSuffix(key, "?")
		if optional && text[name] == "" {
			list = append(list, 0)
			continue
		}
		l, err := length.Parse(text[name])
		if err != nil {
			return nil, lengthProblem(name, text[name])
		}
		list = append(list, l)
	}
	return list, nil
}

func readJog(text map[string]string) (survey.Jog, error) {
	l, err := lengths(text, "from", "wide?", "deep")
	if err != nil {
		return survey.Jog{}, err
	}
	j := survey.Jog{From: l[0], Width: l[1], Depth: l[2]}
	if text["way"] == "out" {
		j.Depth = -j.Depth
	}
	return j, nil
}

func readHole(r survey.Record, text map[string]string) (survey.Fact, error) {
	l, err := lengths(text, "along", "out", "wide", "deep")
	if err != nil {
		return survey.Fact{}, err
	}
	return survey.HoleFact(r, l[0], l[1], l[2], l[3])
}

// sideFacts are what the form says of one side.
func sideFacts(r survey.Record, form outlineForm) []survey.Fact {
	var facts []survey.Fact
	for _, name := range []string{"kind", "surface", "wall_end", "member_drop"} {
		key := fmt.Sprintf("edge.%d.%s", form.index, name)
		if text, sent := form.text[key]; sent && text != r.Facts[key].Text {
			facts = append(facts, survey.Fact{Survey: r.Survey.ID, Key: key, Text: text, Version: r.Facts[key].Version})
		}
	}
	return facts
}

// zoneFacts says which zones are built: all of them is said by nothing.
func zoneFacts(r survey.Record, text map[string]string) []survey.Fact {
	var built []string
	all := true
	for _, z := range zonesOf(r) {
		if text["zone."+z.ID] != "" {
			built = append(built, z.ID)
		} else {
			all = false
		}
	}
	cover := strings.Join(built, " ")
	if all {
		cover = ""
	}
	return []survey.Fact{{Survey: r.Survey.ID, Key: "cover", Text: cover, Version: r.Facts["cover"].Version}}
}

// zonesOf are all the zones that there could be, built or not; none while nothing can be computed.
func zonesOf(r survey.Record) []calc.Zone {
	all := r
	all.Facts = maps.Clone(r.Facts)
	delete(all.Facts, "cover")
	if plan := survey.Compute(all).Plan; plan != nil {
		return plan.Zones
	}
	return nil
}

// keptOutline is the outline with all that goes with it, as a page keeps it to bring it back.
type keptOutline struct {
	Facts map[string]string `json:"facts"`
	Pins  map[string]string `json:"pins"` // the side that a wall's pin names, by the pin's id
}

// ofOutline tells whether a fact belongs to the outline.
func ofOutline(key string) bool {
	return key == "outline" || key == "width" || key == "projection" || key == "cover" || strings.HasPrefix(key, "edge.") || strings.HasPrefix(key, "hole")
}

func keepOutline(r survey.Record) keptOutline {
	k := keptOutline{Facts: map[string]string{}, Pins: map[string]string{}}
	for key, f := range r.Facts {
		if ofOutline(key) && f.Text != "" {
			k.Facts[key] = f.Text
		}
	}
	for _, p := range r.Pins {
		if p.Kind == survey.PinWall && p.Values["edge"] != "" {
			k.Pins[string(p.ID)] = p.Values["edge"]
		}
	}
	return k
}

// outlineState is the outline with all that goes with it as one text; the same outline is the same text.
func outlineState(r survey.Record) string {
	text, err := json.Marshal(keepOutline(r))
	if err != nil {
		return ""
	}
	return string(text)
}

// restoreOutline brings back an outline that a page has kept.
func restoreOutline(r survey.Record, state string) ([]survey.Fact, []survey.Pin, error) {
	var k keptOutline
	if err := json.Unmarshal([]byte(state), &k); err != nil {
		return nil, nil, survey.Errorf(survey.Invalid, "What was kept of the outline cannot be read any more.")
	}
	keys := maps.Clone(k.Facts)
	maps.Copy(keys, keepOutline(r).Facts)
	var facts []survey.Fact
	for _, key := range slices.Sorted(maps.Keys(keys)) {
		if !ofOutline(key) {
			return nil, nil, survey.Errorf(survey.Invalid, "What was kept of the outline cannot be read any more.")
		}
		if now := r.Facts[key]; now.Text != k.Facts[key] {
			facts = append(facts, survey.Fact{Survey: r.Survey.ID, Key: key, Text: cleanText(k.Facts[key]), Version: now.Version})
		}
	}
	if text := k.Facts["outline"]; text != "" {
		if _, err := survey.ParseRing(text); err != nil {
			return nil, nil, err
		}
	}
	var pins []survey.Pin
	for _, p := range r.Pins {
		if was, kept := k.Pins[string(p.ID)]; kept && p.Kind == survey.PinWall && p.Values["edge"] != was {
			p.Values = maps.Clone(p.Values)
			p.Values["edge"] = was
			pins = append(pins, p)
		}
	}
	return facts, pins, nil
}

// planStatus is the status of a plan that is shown again because of what was sent.
func planStatus(form *outlineForm) int {
	if form == nil || form.err == nil {
		return http.StatusOK
	}
	return statusOf(form.err)
}
