package calc

import (
	"fmt"
	"testing"
)

// One run for each straight piece of one kind and surface; side runs end where the panels do.
func TestChannelRuns(t *testing.T) {
	in := deck(Point{0, 0}, Point{240, 0}, Point{240, 60}, Point{240, 167}, Point{240, 168}, Point{0, 168}, Point{0, 100})
	in.Edges[1] = Edge{Kind: EdgeWall, Surface: SurfaceStucco}
	in.Edges[3] = Edge{Kind: EdgeWall, Surface: SurfaceLog} // only below the panels' end
	_, z := oneZone(t, in)
	got := ""
	for _, r := range z.Channel {
		got += fmt.Sprintf("%s %s %s %g; ", r.Edge, r.Kind, r.Surface, r.Plan)
	}
	want := "high wall brick 240; left open wood 166; right open wood 106; right wall stucco 60; "
	if got != want {
		t.Errorf("got %s\nwant %s", got, want)
	}
}

// On an open side the channel hangs below the rim: a backer from nothing to t; what the rim hangs lower is saved. A wall needs
// none, and a ledger that hangs as low as the channel takes it instead of the wall.
func TestBackersAndMembers(t *testing.T) {
	in := rectangle(240, 168)
	in.Edges[1] = Edge{Kind: EdgeWall, Surface: SurfaceBrick}
	_, z := oneZone(t, in)
	high, left, right := z.Channel[0], z.Channel[1], z.Channel[2]
	if high.Backer != nil || right.Backer != nil || left.Backer == nil {
		t.Fatalf("got backers %v, %v, %v", high.Backer, left.Backer, right.Backer)
	}
	near(t, "thickest", left.Backer.Thickest, 166.0/96, 1e-9)
	near(t, "length", left.Backer.Length, 166, 1e-9)
	near(t, "screws", float64(left.Backer.Screws), 15, 0)
	in.Edges[3].MemberDrop = 1
	in.Edges[0].MemberDrop = 1.5
	_, z = oneZone(t, in)
	near(t, "thickest with a low rim", z.Channel[1].Backer.Thickest, 166.0/96-1, 1e-9)
	if z.Channel[0].Surface != SurfaceWood {
		t.Errorf("the ledger hangs 1 1/2 in: the channel lands on %s", z.Channel[0].Surface)
	}
	in.Edges[0].MemberDrop = 1.25
	if _, z = oneZone(t, in); z.Channel[0].Surface != SurfaceBrick {
		t.Errorf("the ledger hangs 1 1/4 in: the channel lands on %s", z.Channel[0].Surface)
	}
}

// A side that leans a little is still a side; its run is measured along it and ends with the panels.
func TestLeaningSide(t *testing.T) {
	in := deck(Point{0, 0}, Point{240, 0}, Point{230, 168}, Point{0, 168})
	_, z := oneZone(t, in)
	run := z.Channel[2]
	if run.Edge != "right" || run.P1.Y != 166 {
		t.Errorf("got %+v", run)
	}
	near(t, "run", run.Plan, vec{10 * 166.0 / 168, 166}.len(), 1e-9)
	last := z.Panels.Pieces[len(z.Panels.Pieces)-1]
	if last.Shape != "notched" {
		t.Errorf("the last panel is %s", last.Shape)
	}
}
