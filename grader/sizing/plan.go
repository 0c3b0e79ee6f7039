package sizing

import (
	"fmt"

	"loopwright/grader/fluid"
	"loopwright/grader/quantity"
)

// plan says which pipe carries how much of which water, before any size is
// known.
type plan struct {
	job   *Job
	pipes []pipeRun
	ways  []way
	loops []loop // the first holds the boiler
}

// pipeRun is one run of pipe of one size.
type pipeRun struct {
	id, from, to string
	mass         float64 // kg/s
	water        quantity.Celsius
	length       float64 // m, without fittings
}

// way is what lies between two nodes and is set by one balancing valve: one
// emitter, or several in a row.
type way struct {
	id, from, to string
	mass         float64
	stops        []stop
	inner        []int // pipes between its stops
	path         []int // pipes from the circulator to it and back
	loop         int
	valve        bool    // a balancing valve sets it
	share        float64 // through its tee; diverter loops
	teeFrom      string
	teeTo        string
	teeMass      float64
}

// stop is an emitter with the water that it gets at design.
type stop struct {
	room              int
	mass              float64
	entering, leaving quantity.Celsius
	from, to          string
}

// loop is a circulator with the ways that it serves.
type loop struct {
	id       string
	from, to string // suction and discharge of its circulator
	mass     float64
	water    quantity.Celsius // at the circulator
	mixed    quantity.Celsius // of the water that it gets at its tees
	index    int              // way that decides its head; -1 is none
	pipes    []int            // pipes of a loop without ways
}

// water turns loads into flows and back by enthalpy, as the check will.
type water struct{ *fluid.Liquid }

func (w water) massFor(load float64, hot, cool quantity.Celsius) (float64, error) {
	a, err := w.Enthalpy(hot)
	if err != nil {
		return 0, err
	}
	b, err := w.Enthalpy(cool)
	if err != nil {
		return 0, err
	}
	return load / (a - b), nil
}

func (w water) after(in quantity.Celsius, heat, mass float64) (quantity.Celsius, error) {
	h, err := w.Enthalpy(in)
	if err != nil {
		return 0, err
	}
	return w.Temperature(h - heat/mass)
}

func newPlan(j *Job) (*plan, error) {
	p := &plan{job: j}
	total := 0.0
	for _, r := range j.Rooms {
		total += r.Load
	}
	back := j.Supply - quantity.Celsius(j.Drop)
	w := water{fluid.NearWater()}
	mass, err := w.massFor(total, j.Supply, back)
	if err != nil {
		return nil, fmt.Errorf("design temperatures: %w", err)
	}
	p.loops = []loop{{id: "circulator", from: "suction", to: "supply", mass: mass, water: j.Supply, mixed: j.Supply, index: -1}}
	switch j.Layout {
	case Series:
		err = p.series(w, mass)
	case Split:
		err = p.split(w)
	case Diverter:
		err = p.diverter(w, mass)
	case TwoPipeDirect:
		err = p.twoPipe(w, back, false)
	case TwoPipeReverse:
		err = p.twoPipe(w, back, true)
	case Manifold:
		err = p.manifold(w, back)
	case PrimarySecondary:
		err = p.primarySecondary(w, total, mass, back)
	default:
		err = fmt.Errorf("no layout %q", j.Layout)
	}
	return p, err
}

func (p *plan) pipe(id, from, to string, mass float64, t quantity.Celsius, length float64) int {
	p.pipes = append(p.pipes, pipeRun{id, from, to, mass, t, length})
	return len(p.pipes) - 1
}

// home is the length back to the boiler: as far as the way out, unless said.
func (p *plan) home(out float64) float64 {
	if p.job.Home > 0 {
		return p.job.Home
	}
	return out
}

// chain puts rooms one after the other on one pipe from node from; each gets
// what the one before leaves. It gives the way, ending at node to.
func (p *plan) chain(w water, id string, rooms []int, mass float64, from, to string) (way, error) {
	j := p.job
	c := way{id: id, from: from, to: to, mass: mass}
	node, t, out := from, j.Supply, 0.0
	for _, i := range rooms {
		r := j.Rooms[i]
		out += r.Distance
		in, leave := r.ID+"-in", r.ID+"-out"
		c.inner = append(c.inner, p.pipe(r.ID+"-main", node, in, mass, t, r.Distance))
		after, err := w.after(t, r.Load, mass)
		if err != nil {
			return c, fmt.Errorf("room %s: %w", r.ID, err)
		}
		c.stops = append(c.stops, stop{i, mass, t, after, in, leave})
		node, t = leave, after
	}
	c.inner = append(c.inner, p.pipe(id+"-home", node, to, mass, t, p.home(out)))
	return c, nil
}

func (p *plan) everyRoom() []int {
	rooms := make([]int, len(p.job.Rooms))
	for i := range rooms {
		rooms[i] = i
	}
	return rooms
}

func (p *plan) series(w water, mass float64) error {
	c, err := p.chain(w, "loop", p.everyRoom(), mass, "supply", "return")
	p.ways = []way{c}
	return err
}

func (p *plan) split(w water) error {
	j := p.job
	groups := map[int][]int{}
	most := 0
	for i, r := range j.Rooms {
		n := max(r.Loop, 1)
		groups[n] = append(groups[n], i)
		most = max(most, n)
	}
	if len(groups) < 2 {
		return fmt.Errorf("a split loop needs rooms on two loops or more: give each room its loop, 1 or 2")
	}
	back := j.Supply - quantity.Celsius(j.Drop)
	for n := 1; n <= most; n++ {
		if len(groups[n]) == 0 {
			return fmt.Errorf("loop %d has no rooms: number the loops from 1 without gaps", n)
		}
		load := 0.0
		for _, i := range groups[n] {
			load += j.Rooms[i].Load
		}
		mass, err := w.massFor(load, j.Supply, back)
		if err != nil {
			return err
		}
		c, err := p.chain(w, fmt.Sprintf("loop-%d", n), groups[n], mass, "split", "join")
		if err != nil {
			return err
		}
		c.valve = true
		p.ways = append(p.ways, c)
	}
	total := p.loops[0].mass
	a := p.pipe("main-out", "supply", "split", total, j.Supply, j.Main)
	b := p.pipe("main-back", "join", "return", total, back, j.Main)
	for i := range p.ways {
		p.ways[i].path = []int{a, b}
	}
	return nil
}

func (p *plan) diverter(w water, mass float64) error {
	j := p.job
	if !(j.Branch > 0 && j.Branch < 1) {
		return fmt.Errorf("a diverter tee sends a share between 0 and 1 of the main through its emitter, got %g", j.Branch)
	}
	node, t, out := "supply", j.Supply, 0.0
	var ring []int
	for i, r := range j.Rooms {
		out += r.Distance
		a, b := r.ID+"-tee", r.ID+"-join"
		ring = append(ring, p.pipe(r.ID+"-main", node, a, mass, t, r.Distance))
		branch := j.Branch * mass
		leave, err := w.after(t, r.Load, branch)
		if err != nil {
			return fmt.Errorf("room %s: %w", r.ID, err)
		}
		in, end := r.ID+"-in", r.ID+"-out"
		c := way{id: r.ID, from: a, to: b, mass: branch, share: j.Branch, teeFrom: a, teeTo: b, teeMass: mass - branch}
		c.inner = []int{p.pipe(r.ID+"-out", a, in, branch, t, r.Branch), p.pipe(r.ID+"-back", end, b, branch, leave, r.Branch)}
		c.stops = []stop{{i, branch, t, leave, in, end}}
		p.ways = append(p.ways, c)
		after, err := w.after(t, r.Load, mass)
		if err != nil {
			return fmt.Errorf("room %s: %w", r.ID, err)
		}
		node, t = b, after
	}
	ring = append(ring, p.pipe("home", node, "return", mass, t, p.home(out)))
	p.loops[0].pipes = ring
	return nil
}

// branch is a room's own two pipes and its emitter, between nodes of the mains.
func (p *plan) branch(w water, i int, from, to string, supply, back quantity.Celsius) (way, error) {
	r := p.job.Rooms[i]
	mass, err := w.massFor(r.Load, supply, back)
	if err != nil {
		return way{}, err
	}
	in, out := r.ID+"-in", r.ID+"-out"
	c := way{id: r.ID, from: from, to: to, mass: mass, valve: true}
	c.inner = []int{p.pipe(r.ID+"-out", from, in, mass, supply, r.Branch), p.pipe(r.ID+"-back", out, to, mass, back, r.Branch)}
	c.stops = []stop{{i, mass, supply, back, in, out}}
	return c, nil
}

func (p *plan) twoPipe(w water, back quantity.Celsius, reverse bool) error {
	return p.ladder(w, "supply", "return", p.job.Supply, back, 0, reverse)
}

// ladder is a supply and a return main with the rooms between them.
func (p *plan) ladder(w water, from, to string, supply, back quantity.Celsius, onLoop int, reverse bool) error {
	j := p.job
	n := len(j.Rooms)
	carried := make([]float64, n+1) // by supply section i
	for i := n - 1; i >= 0; i-- {
		m, err := w.massFor(j.Rooms[i].Load, supply, back)
		if err != nil {
			return err
		}
		carried[i] = carried[i+1] + m
	}
	s := func(i int) string { return "s" + fmt.Sprint(i+1) }
	r := func(i int) string { return "r" + fmt.Sprint(i+1) }
	supplies, returns := make([]int, n), make([]int, n)
	node, out := from, 0.0
	for i, room := range j.Rooms {
		out += room.Distance
		supplies[i] = p.pipe(fmt.Sprintf("supply-%d", i+1), node, s(i), carried[i], supply, room.Distance)
		node = s(i)
	}
	for i := range n {
		switch {
		case !reverse && i == 0:
			returns[i] = p.pipe("return-1", r(0), to, carried[0], back, j.Rooms[0].Distance)
		case !reverse:
			returns[i] = p.pipe(fmt.Sprintf("return-%d", i+1), r(i), r(i-1), carried[i], back, j.Rooms[i].Distance)
		case i < n-1:
			// It leads on, and carries what the rooms so far have sent into it.
			returns[i] = p.pipe(fmt.Sprintf("return-%d", i+1), r(i), r(i+1), carried[0]-carried[i+1], back, j.Rooms[i+1].Distance)
		default:
			returns[i] = p.pipe("home", r(i), to, carried[0], back, p.home(out))
		}
	}
	for i := range n {
		c, err := p.branch(w, i, s(i), r(i), supply, back)
		if err != nil {
			return err
		}
		c.loop = onLoop
		c.path = append(c.path, supplies[:i+1]...)
		if reverse {
			c.path = append(c.path, returns[i:]...)
		} else {
			c.path = append(c.path, returns[:i+1]...)
		}
		p.ways = append(p.ways, c)
	}
	return nil
}

func (p *plan) manifold(w water, back quantity.Celsius) error {
	j := p.job
	total := p.loops[0].mass
	a := p.pipe("main-out", "supply", "manifold", total, j.Supply, j.Main)
	b := p.pipe("main-back", "collector", "return", total, back, j.Main)
	for i := range j.Rooms {
		c, err := p.branch(w, i, "manifold", "collector", j.Supply, back)
		if err != nil {
			return err
		}
		c.path = []int{a, b}
		p.ways = append(p.ways, c)
	}
	return nil
}

// primarySecondary hangs a two-pipe secondary on a boiler loop by two closely
// spaced tees. Where the primary carries less than the secondary, the secondary
// mixes its own return into its supply, and the boiler runs so much warmer.
func (p *plan) primarySecondary(w water, load, secondary float64, back quantity.Celsius) error {
	j := p.job
	drop := j.BoilerDrop
	if drop == 0 {
		drop = j.Drop
	}
	// Where all of the secondary's return goes to the boiler, the boiler's
	// return is the secondary's; otherwise its supply is the secondary's.
	hot, cool := back+quantity.Celsius(drop), back
	if drop < j.Drop {
		hot, cool = j.Supply, j.Supply-quantity.Celsius(drop)
	}
	primary, err := w.massFor(load, hot, cool)
	if err != nil {
		return err
	}
	a := p.pipe("primary-out", "supply", "tee-a", primary, hot, j.Main)
	b := p.pipe("primary-back", "tee-b", "return", primary, cool, j.Main)
	p.loops[0] = loop{id: "primary", from: "suction", to: "supply", mass: primary, water: hot, mixed: hot, index: -1, pipes: []int{a, b}}
	p.loops = append(p.loops, loop{id: "secondary", from: "tee-a", to: "secondary-supply", mass: secondary, water: j.Supply, mixed: j.Supply, index: -1})
	return p.ladder(w, "secondary-supply", "tee-b", j.Supply, back, 1, false)
}
