package cutting

import (
	"math"
	"slices"
)

// work is how many steps of search one job may take (a step is one filling looked at).
const work = 3_000_000

// solver is the state of one larger job: the linear program, what is proven, the best answer so far and the work left.
type solver struct {
	p      *problem
	m      *master
	rates  []rates // proven duals: of the cost, and then of the sticks
	best   []pick
	cost   int64 // of best
	sticks int   // of best
	steps  int
}

// generate solves a job by column generation and search.
func (p *problem) generate() answer {
	s := &solver{p: p, m: newMaster(p), steps: work}
	s.improve(p.firstFit())
	duals, _ := s.m.solve()
	scale := int64(p.scale())
	r := p.prove(s.m.knap, duals, 0, scale)
	s.rates = append(s.rates, r)
	bound := min(s.cost, p.roundUp(max(ceilDiv(r.worth(p.need), scale), p.material())))
	bound = s.cheapest(bound)
	a := answer{bound: bound, fewest: p.countsSticks()}
	if bound == s.cost && !a.fewest {
		a.fewest = s.fewest()
	}
	a.picks = s.best
	return a
}

// countsSticks tells whether the cost alone settles the number of sticks: one stock length, not free.
func (p *problem) countsSticks() bool { return len(p.cap) == 1 && p.cost[0] > 0 }

// improve keeps an answer that is cheaper, or as cheap with fewer sticks.
func (s *solver) improve(picks []pick) {
	picks = s.p.trim(picks)
	cost, sticks := s.p.total(picks)
	if s.best == nil || cost < s.cost || cost == s.cost && sticks < s.sticks {
		s.best, s.cost, s.sticks = picks, cost, sticks
	}
}

// cheapest looks for cheaper answers between a proven bound and the best one, and returns the bound then proven. Targets start
// at the bound, since it can mostly be met, and go up in growing strides when they cannot.
func (s *solver) cheapest(bound int64) int64 {
	grain := max(1, s.p.grain)
	failed, stride := bound-grain, grain
	for target := bound; failed < s.cost-grain && s.steps > 0; {
		found, ended := s.reach(target, s.p.pieces)
		if found {
			stride = grain
		} else {
			failed = target
			if ended {
				bound = target + grain
			}
			if stride == grain {
				s.improve(s.p.fullest())
			}
			stride *= 2
		}
		target = min(failed+stride, s.cost-grain)
	}
	return bound
}

// fewest looks for answers of the best one's cost with fewer sticks. True when it is proven that there is none left.
func (s *solver) fewest() bool {
	p := s.p
	dearest := p.cost[len(p.cost)-1]
	bound := 1
	if dearest > 0 {
		bound = int(ceilDiv(s.cost, dearest))
	}
	if bound >= s.sticks {
		return true
	}
	s.m.limit(s.cost)
	duals, worth := s.m.solve()
	scale := p.scale()
	r := p.prove(s.m.knap, duals, int64(scale), int64(worth*scale))
	s.rates = append(s.rates, r)
	bound = max(bound, int(ceilDiv(r.worth(p.need)-r.cost*s.cost, r.stick)))
	for target := bound; target < s.sticks; target++ {
		found, ended := s.reach(s.cost, target)
		if found {
			return target == bound
		}
		if ended {
			bound = target + 1
		}
	}
	return bound >= s.sticks
}

// reach looks for an answer of at most that cost and that many sticks: first by rounding the linear program's plan down in
// several ways and cutting the rest exactly, then by a search from the start. ended tells that there is none when none is found.
func (s *solver) reach(cost int64, sticks int) (found, ended bool) {
	down := s.rounded()
	for drop := -1; drop < min(len(down), mostDrops); drop++ {
		base := slices.Clone(down)
		if drop >= 0 {
			if base[drop].times == 0 {
				continue
			}
			base[drop].times--
		}
		if found, _ := s.complete(base, cost, sticks, s.steps/64); found {
			return true, true
		}
	}
	return s.complete(nil, cost, sticks, s.steps/2)
}

// mostDrops is how many ways of rounding down are tried.
const mostDrops = 40

// rounded is the linear program's plan with its numbers of sticks rounded down.
func (s *solver) rounded() []pick {
	var picks []pick
	for r, c := range s.m.basis {
		if c.stock >= 0 {
			picks = append(picks, pick{c.stock, c.take, int(math.Floor(max(0, s.m.x[r]) + 1e-6))})
		}
	}
	return picks
}

// complete searches for sticks that cut what base leaves.
func (s *solver) complete(base []pick, cost int64, sticks, steps int) (found, ended bool) {
	want := slices.Clone(s.p.need)
	for _, k := range base {
		for i, t := range k.take {
			want[i] = max(0, want[i]-t*k.times)
		}
	}
	spent, used := s.p.total(base)
	var meters []meter
	for _, r := range s.rates {
		slack := r.stick*int64(sticks-used) + r.cost*(cost-spent) - r.worth(want)
		meters = append(meters, meter{r, slack})
	}
	picks, found, left := s.p.find(want, meters, steps)
	s.steps -= steps - max(0, left)
	if found {
		s.improve(append(slices.Clone(base), picks...))
	}
	return found, left >= 0
}
