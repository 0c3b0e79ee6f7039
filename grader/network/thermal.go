package network

import (
	"fmt"
	"math"

	"gonum.org/v1/gonum/mat"

	"loopwright/grader/emitter"
	"loopwright/grader/quantity"
)

// thermal finds the temperatures that belong to given flows.
//
// What travels is enthalpy: at a node the streams mix, along a link the water
// gives off or takes up heat,
//
//	e_node = Σ M e_in / Σ M,   e_out = e_in − Φ(e_in)/M
//
// with mass flows M and heats Φ that depend on the temperature at which the
// water enters, and for radiators on the room, which is warmed by its
// radiators and cooled by its loss. Newton's method: each link and each room is
// taken as straight near the last estimate. Water runs from higher to lower head but
// through circulators, so once their inlets are taken as unknowns (they "tear"
// the loops), every node's enthalpy follows from those upstream as a linear
// function of the unknowns; then a small dense system closes the loops.
type thermal struct {
	m      *Model
	node   []float64 // °C
	energy []float64 // J/kg, of each node
	heat   []float64 // W that the water gives off in each link
	asked  []float64 // °C at which each link's heat was last asked for
	room   []float64 // °C

	up, down       []int32 // of each link's flow; -1 where it stands
	mass           []float64
	gain, constant []float64 // e_out = gain × e_in + constant
	bySource       []float64 // heat of a radiator for each kelvin of its water, W/K
	entering       []float64 // kg/s that enters a node from outside
	through        []float64 // kg/s through a node
	waits          []int32
	order          []int32
	tears          []int32
	torn           []bool
	outgoing       [][]int32 // links of each node
	linear         []float64 // enthalpy of each node: constant, then by unknown
	specific       []float64 // J/(kg·K) at each node
	balance        []float64 // of each room, W
	stiff          []float64 // of each room, W/K
	radiators      [][]int32 // of each room
	roomLink       []int32   // room of each link, or -1
	mode           []sourceMode
	coldest        float64 // J/kg at the ends of the liquid's range
	hottest        float64
	outside        bool // the last step left the range of the liquid or of an emitter
}

func newThermal(m *Model) *thermal {
	n, l, r := len(m.nodes), len(m.sys.Links), len(m.sys.Rooms)
	floats := func(k int) []float64 { return make([]float64, k) }
	t := &thermal{
		m: m, node: floats(n), energy: floats(n), heat: floats(l), asked: floats(l), room: floats(r),
		up: make([]int32, l), down: make([]int32, l), mass: floats(l), gain: floats(l), constant: floats(l), bySource: floats(l),
		entering: floats(n), through: floats(n), waits: make([]int32, n), torn: make([]bool, l), outgoing: make([][]int32, n),
		specific: floats(n), balance: floats(r), stiff: floats(r), radiators: make([][]int32, r), roomLink: make([]int32, l), mode: make([]sourceMode, l),
	}
	for k, link := range m.sys.Links {
		for _, id := range []string{link.From, link.To} {
			i := m.nodeOf[id]
			t.outgoing[i] = append(t.outgoing[i], int32(k))
		}
		t.roomLink[k], t.mode[k] = -1, startMode(link)
		if p, ok := link.Part.(Radiator); ok {
			i := m.roomOf[p.Room]
			t.radiators[i] = append(t.radiators[i], int32(k))
			t.roomLink[k] = int32(i)
		}
	}
	low, high := m.liquid.Range()
	t.coldest, _ = m.liquid.Enthalpy(low)
	t.hottest, _ = m.liquid.Enthalpy(high)
	for i := range t.node {
		t.node[i] = float64(m.sys.Water)
		t.energy[i], _ = m.liquid.Enthalpy(m.sys.Water)
	}
	for i, room := range m.sys.Rooms {
		t.room[i] = float64(room.Indoor)
	}
	return t
}

// stillShare is the share of the largest flow below which water counts as
// standing.
const stillShare = 1e-9

// stillFlow is standing water, m³/s, whatever the others do: a liter in 30
// years.
const stillFlow = 1e-12

// direct finds which way the water runs, and the order in which nodes follow.
func (t *thermal) direct() {
	net := t.m.net
	most := 0.0
	for _, q := range net.Flow {
		most = max(most, math.Abs(q))
	}
	clear(t.entering)
	clear(t.through)
	clear(t.waits)
	t.order, t.tears = t.order[:0], t.tears[:0]
	for k, q := range net.Flow {
		t.up[k], t.down[k], t.mass[k], t.torn[k] = -1, -1, 0, false
		if math.Abs(q) <= max(stillShare*most, stillFlow) {
			continue
		}
		l := &t.m.sys.Links[k]
		a, b := int32(t.m.nodeOf[l.From]), int32(t.m.nodeOf[l.To])
		t.entering[a] += q
		t.entering[b] -= q
		if q < 0 {
			a, b = b, a
		}
		t.up[k], t.down[k], t.mass[k] = a, b, math.Abs(q)*t.m.reference
		t.through[b] += t.mass[k]
		if net.Head[b] >= net.Head[a] {
			t.tear(int32(k))
		} else {
			t.waits[b]++
		}
	}
	for i := range t.entering {
		// What leaves a node beyond what reaches it comes from outside.
		in := t.entering[i] * t.m.reference
		if in < 1e-9*t.through[i] || in <= stillShare*most*t.m.reference {
			in = 0
		}
		t.entering[i] = in
		t.through[i] += in
	}
	for i, w := range t.waits {
		if w == 0 {
			t.order = append(t.order, int32(i))
		}
	}
	for next := 0; len(t.order) < len(t.waits); {
		for ; next < len(t.order); next++ {
			t.release(t.order[next])
		}
		if len(t.order) == len(t.waits) {
			break
		}
		// A loop without a circulator in it: natural circulation. Tear it.
		for i, w := range t.waits {
			if w <= 0 {
				continue
			}
			for _, k := range t.outgoing[i] {
				if t.down[k] == int32(i) && !t.torn[k] && !t.released(t.up[k]) {
					t.tear(k)
					t.waits[i]--
				}
			}
			t.order = append(t.order, int32(i))
			t.waits[i] = 0
			break
		}
	}
}

func (t *thermal) tear(k int32) {
	t.torn[k] = true
	t.tears = append(t.tears, k)
}

// released marks a node whose outgoing links were followed: its waits are −1.
func (t *thermal) released(i int32) bool { return t.waits[i] < 0 }

func (t *thermal) release(i int32) {
	t.waits[i] = -1
	for _, k := range t.outgoing[i] {
		if t.up[k] != i || t.torn[k] {
			continue
		}
		j := t.down[k]
		t.waits[j]--
		if t.waits[j] == 0 {
			t.order = append(t.order, j)
		}
	}
}

// solve finds the temperatures for the flows that the network has now. It
// gives the largest change of a temperature (K) against those before. It stops
// at a step of tight (K).
func (t *thermal) solve(tight float64) (change float64, err error) {
	t.direct()
	const most = 60
	for i := 0; ; i++ {
		t.outside = false
		step, err := t.newton()
		if err != nil {
			return 0, err
		}
		change = max(change, step)
		if step <= tight {
			return change, nil
		}
		if i == most || step != step {
			return 0, &NotConvergedError{"temperatures", i, step}
		}
	}
}

// whereOutside is the error of a solution in which water would freeze, boil or
// be too hot for its emitters.
func (t *thermal) whereOutside() error {
	low, high := t.m.liquid.Range()
	for i, n := range t.node {
		if t.through[i] > 0 && (n <= float64(low) || n >= float64(high)) {
			what := "boil or flash"
			if n <= float64(low) {
				what = "freeze"
			}
			return fmt.Errorf("node %s: its water would %s: %w", t.m.nodes[i].ID, what, &quantity.RangeError{Quantity: "water temperature", Value: n, Low: float64(low), High: float64(high), Unit: "degC"})
		}
	}
	for k := range t.up {
		if t.up[k] >= 0 && t.roomLink[k] >= 0 && t.node[t.up[k]] > emitter.HighestWater {
			return fmt.Errorf("radiator %s: %w", t.m.sys.Links[k].ID, &quantity.RangeError{Quantity: "water temperature", Value: t.node[t.up[k]], Low: float64(low), High: emitter.HighestWater, Unit: "degC"})
		}
	}
	return &NotConvergedError{"temperatures", 0, 0}
}

// newton takes one step and gives the largest change of a temperature.
func (t *thermal) newton() (step float64, err error) {
	if err := t.linearize(); err != nil {
		return 0, err
	}
	if err := t.propagate(); err != nil {
		return 0, err
	}
	for i := range t.node {
		before := t.node[i]
		if t.through[i] == 0 {
			t.node[i] = t.standing(i)
			h, err := t.m.liquid.Enthalpy(quantity.Celsius(t.node[i]))
			if err != nil {
				return 0, fmt.Errorf("node %s: %w", t.m.nodes[i].ID, err)
			}
			t.energy[i] = h
		} else if t.node[i], err = t.temperature(t.energy[i], t.node[i], t.specific[i]); err != nil {
			return 0, fmt.Errorf("node %s: %w", t.m.nodes[i].ID, err)
		}
		step = max(step, math.Abs(t.node[i]-before))
	}
	// Rooms follow their radiators' new water.
	for i := range t.room {
		if t.stiff[i] == 0 {
			continue
		}
		sum := t.balance[i]
		for _, k := range t.radiators[i] {
			if t.up[k] >= 0 {
				// The change of the water since the radiator was asked.
				sum += t.bySource[k] * (t.node[t.up[k]] - t.asked[k])
			}
		}
		d := sum / t.stiff[i]
		t.room[i] += d
		step = max(step, math.Abs(d))
	}
	if moved, err := t.changeModes(); err != nil {
		return 0, err
	} else if moved {
		step = math.Inf(1)
	}
	return step, nil
}

// temperature of an enthalpy, by Newton's method from a guess. On the way to a
// solution an estimate may lie where water is no liquid: it is taken to the
// end of the liquid's range, and only a solution there is an error.
func (t *thermal) temperature(energy, guess, specific float64) (float64, error) {
	if energy <= t.coldest || energy >= t.hottest {
		t.outside = true
		low, high := t.m.liquid.Range()
		if energy <= t.coldest {
			return float64(low), nil
		}
		return float64(high), nil
	}
	h, err := t.m.liquid.Enthalpy(quantity.Celsius(guess))
	if err == nil && math.Abs(energy-h) < 1e-3*specific {
		// So near, one step is exact to 1e-10 K.
		return guess + (energy-h)/specific, nil
	}
	c, err := t.m.liquid.Temperature(energy)
	return float64(c), err
}

// standing is the temperature of water that stands: that of its surroundings,
// or freezing where they are colder.
func (t *thermal) standing(i int) float64 {
	surroundings := float64(t.m.sys.Air)
	for _, k := range t.outgoing[i] {
		if r := t.roomLink[k]; r >= 0 {
			surroundings = t.room[r]
		}
	}
	low, _ := t.m.liquid.Range()
	return max(surroundings, float64(low))
}

// propagate carries the enthalpies downstream as linear functions of the torn
// links' inlets, and closes the loops.
func (t *thermal) propagate() error {
	width := len(t.tears) + 1
	if cap(t.linear) < width*len(t.node) {
		t.linear = make([]float64, width*len(t.node))
	}
	t.linear = t.linear[:width*len(t.node)]
	clear(t.linear)
	for i, in := range t.entering {
		if in > 0 {
			h, err := t.m.liquid.Enthalpy(t.m.nodes[i].Enters)
			if err != nil {
				return fmt.Errorf("node %s: %w", t.m.nodes[i].ID, err)
			}
			t.linear[width*i] = in * h
		}
	}
	for j, k := range t.tears {
		row := t.linear[width*int(t.down[k]):]
		row[0] += t.mass[k] * t.constant[k]
		row[j+1] += t.mass[k] * t.gain[k]
	}
	for _, i := range t.order {
		if t.through[i] == 0 {
			continue
		}
		row := t.linear[width*int(i) : width*int(i+1)]
		for j := range row {
			row[j] /= t.through[i]
		}
		for _, k := range t.outgoing[i] {
			if t.up[k] != i || t.torn[k] {
				continue
			}
			to := t.linear[width*int(t.down[k]):]
			to[0] += t.mass[k] * t.constant[k]
			share := t.mass[k] * t.gain[k]
			for j, v := range row {
				to[j] += share * v
			}
		}
	}
	unknown, err := t.close(width)
	if err != nil {
		return err
	}
	for i := range t.node {
		if t.through[i] == 0 {
			continue
		}
		row := t.linear[width*i : width*(i+1)]
		t.energy[i] = row[0]
		for j, x := range unknown {
			t.energy[i] += row[j+1] * x
		}
	}
	return nil
}

// close solves for the enthalpies at the inlets of the torn links. A loop that
// nothing heats or cools keeps the temperature it had.
func (t *thermal) close(width int) ([]float64, error) {
	n := width - 1
	if n == 0 {
		return nil, nil
	}
	at := func(j int) []float64 { i := int(t.up[t.tears[j]]); return t.linear[width*i : width*(i+1)] }
	const singular = 1e-12
	if n == 1 {
		row := at(0)
		if d := 1 - row[1]; d > singular {
			return []float64{row[0] / d}, nil
		}
		return []float64{t.energy[t.up[t.tears[0]]]}, nil
	}
	a, b := mat.NewDense(n, n, nil), mat.NewVecDense(n, nil)
	for i := range n {
		row := at(i)
		for j := range n {
			v := -row[j+1]
			if i == j {
				v++
				// A trace of the old value keeps a closed loop determined.
				v += singular
			}
			a.Set(i, j, v)
		}
		b.SetVec(i, row[0]+singular*t.energy[t.up[t.tears[i]]])
	}
	var x mat.VecDense
	if err := x.SolveVec(a, b); err != nil {
		if _, ill := err.(mat.Condition); !ill {
			return nil, fmt.Errorf("network: temperatures round the loops: %w", err)
		}
	}
	return x.RawVector().Data, nil
}
