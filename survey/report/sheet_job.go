package report

// drawnJob is what a drawing says of the job and the calculator does not know. Everything may be left out: a field without a value is
// drawn as not given.
type drawnJob struct {
	voice    // in which the drawing speaks
	Number   string
	Name     string
	Surveyed string // date of the visit
	System   string // name of the profile; empty: the plan's own
	Revision string // empty: draft
	Issued   string // date of issue
	Posts    []post
	Outlets  map[string]outlet // where a zone's gutters drain, by zone id; a zone without one is drawn as not settled
	Names    map[string]string // what people call an obstruction, beam or opening, by its id; without one the id stands
}

// post stands under the deck: its centre and sizes in plan coordinates, inches.
type post struct{ X, Y, WX, WY float64 }

// outlet is the end of a gutter at which the downspout stands, as seen facing up the fall.
type outlet string

// The ends of a gutter.
const (
	outletLeft  outlet = "left"
	outletRight outlet = "right"
)

// figureSize is the room a figure is drawn for.
type figureSize int

// The sizes of figures: desk up to 675 pt wide, all labels; phone 255 pt (340 CSS px) wide with fewer labels and the legend and
// figures under it, so that its 7 pt text is read without zooming.
const (
	desk figureSize = iota
	phone
)
