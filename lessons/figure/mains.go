package figure

import (
	"fmt"
	"math"

	"loopwright/exercises"
	"loopwright/grader/fluid"
	"loopwright/grader/network"
	"loopwright/grader/pipe"
	"loopwright/grader/quantity"
)

// mainsCircuits is how many equal circuits the demo riser has.
const mainsCircuits = 6

// twoPipeMains: pressure along the supply and return mains of a riser, with a
// balancing valve on the nearest circuit and on the others.
var twoPipeMains = &Model{
	Name: "two-pipe-mains", Title: "Pressure along the mains",
	Controls: func(exercises.System) []Control {
		return []Control{
			{Name: "near_valve", Label: "Balancing valve, floor 1", Min: 5, Max: 100, Step: 1, Unit: "% open", Default: 100},
			{Name: "second_valve", Label: "Balancing valve, floor 2", Min: 5, Max: 100, Step: 1, Unit: "% open", Default: 100},
			{Name: "far_valve", Label: "Balancing valve, floor 6", Min: 5, Max: 100, Step: 1, Unit: "% open", Default: 100},
			{Name: "speed", Label: "Circulator speed", Min: 50, Max: 120, Step: 1, Unit: "%", Default: 100},
			{Name: "layout", Label: "Return", Options: []string{"direct", "reverse"}},
		}
	},
	Solve: solveTwoPipeMains,
}

// riser is the demo system in one system of units. All values are demo, in
// round numbers of that system.
type riser struct {
	design   float64 // flow of each circuit
	circuit  network.Resistance
	valve    func(open float64) network.Resistance
	sizes    [mainsCircuits]pipe.Size
	story    float64 // length of each section of main
	first    float64 // length of the first section
	shutoff  float64 // head of the circulator at zero flow
	runOut   float64 // flow at which its head is gone
	water    fluid.Properties
	fittings float64 // loss coefficient of each section's tees
}

func demoRiser(in Input) (*riser, error) {
	r := &riser{}
	find := func(names ...string) {
		for i, n := range names {
			if in.US() {
				r.sizes[i] = pipe.MustFind("copper-m", n)
			} else {
				r.sizes[i] = pipe.MustFind("copper-en1057", n)
			}
		}
	}
	var err error
	var circuitHead, valveCv float64
	if in.US() {
		find("1-1/4", "1-1/4", "1", "1", "3/4", "3/4")
		r.design, r.story, r.first = quantity.GallonPerMinute.ToSI(2.3), quantity.Foot.ToSI(11), quantity.Foot.ToSI(40)
		circuitHead, valveCv = quantity.FootHead.ToSI(3), quantity.CvUnit.ToSI(4)
		r.shutoff, r.runOut = quantity.FootHead.ToSI(14), quantity.GallonPerMinute.ToSI(32)
		r.water, err = fluid.Water(quantity.Celsius(quantity.Fahrenheit.ToSI(170)))
	} else {
		find("35x1.2", "28x0.9", "28x0.9", "28x0.9", "22x0.9", "22x0.9")
		r.design, r.story, r.first = quantity.LiterPerSecond.ToSI(0.15), 3.3, 12
		circuitHead, valveCv = 0.9, quantity.KvUnit.ToSI(3.5)
		r.shutoff, r.runOut = 4.5, quantity.LiterPerSecond.ToSI(2.2)
		r.water, err = fluid.Water(75)
	}
	if err != nil {
		return nil, err
	}
	r.circuit = network.RatedPoint(r.design, circuitHead, 1.85)
	r.fittings = 20 * pipe.FullyTurbulentFactor(r.sizes[0].Bore) // one tee straight through; Crane TP-410 (2009), p. A-30
	r.valve = func(open float64) network.Resistance {
		// Equal-percentage travel with a range of 50 to 1, a usual inherent
		// characteristic (IEC 60534-2-4): a turn near shut counts as much as
		// one near open.
		c := valveCv * math.Pow(50, open/100-1)
		// Δp = (Q/C)² by the definition of the valve coefficient at water of
		// 1000 kg/m³, which makes the head (Q/C)²/(1000 g).
		return network.PowerLaw{Coefficient: 1 / (c * c * 1000 * quantity.StandardGravity), Exponent: 2}
	}
	return r, nil
}

type curveAtSpeed struct {
	r *riser
	n float64
}

func (r *riser) atSpeed(n float64) curveAtSpeed { return curveAtSpeed{r, n} }

// SourceHead scales the curve by the affinity laws: flow with speed, head with
// its square.
func (c curveAtSpeed) SourceHead(q float64) (head, slope float64) {
	k := c.r.shutoff / (c.r.runOut * c.r.runOut)
	return c.n*c.n*c.r.shutoff - k*q*math.Abs(q), -2 * k * math.Abs(q)
}

func solveTwoPipeMains(in Input) (*Result, error) {
	r, err := demoRiser(in)
	if err != nil {
		return nil, err
	}
	reverse := in.Pick("layout") == 1
	t := network.TwoPipe{Reverse: reverse}
	for i := range mainsCircuits {
		length, back := r.story, r.story
		size := r.sizes[i]
		backSize := size
		if i == 0 {
			length = r.first
		}
		switch {
		case !reverse && i == 0:
			back = r.first
		case reverse:
			// The return grows away from the boiler as circuits join it, and
			// the last section runs all the way home.
			backSize = r.sizes[mainsCircuits-1-i]
			if i == mainsCircuits-1 {
				back = r.first + (mainsCircuits-1)*r.story
			}
		}
		t.Supply = append(t.Supply, network.PipeRun{Size: size, Length: length, K: r.fittings, Water: r.water})
		t.Return = append(t.Return, network.PipeRun{Size: backSize, Length: back, K: r.fittings, Water: r.water})
		open := map[int]string{0: "near_valve", 1: "second_valve", mainsCircuits - 1: "far_valve"}[i]
		position := 100.0
		if open != "" {
			position = in.Values[open]
		}
		t.Circuits = append(t.Circuits, network.Series{r.circuit, r.valve(position)})
	}
	solved, err := t.Solve(r.atSpeed(in.Values["speed"] / 100))
	if err != nil {
		return nil, err
	}
	return describeMains(in, r, solved, reverse), nil
}

// driving shows a head as the trade does: feet of it in US units, the pressure
// it makes in kPa in SI.
func (r *riser) driving(in Input, meters float64) quantity.Quantity {
	if in.US() {
		return quantity.FromSI(meters, quantity.FootHead)
	}
	return quantity.FromSI(float64(quantity.MetersHead(meters).Pressure(r.water.Density)), quantity.Kilopascal)
}

func describeMains(in Input, r *riser, s *network.TwoPipeFlow, reverse bool) *Result {
	flow := in.flow()
	source := r.driving(in, s.Head)
	chart := &MainsChart{Unit: source.Unit.Symbol, FlowUnit: flow.Symbol, Source: source.Number(), Reverse: reverse}
	table := Table{Caption: "Take-off by take-off", Head: []string{"Floor", "Supply", "Return", "Difference", "Flow", "Of design"}}
	measures := map[string]float64{"total": s.Total, "head": s.Head}
	for i, q := range s.Flows {
		name := fmt.Sprintf("floor %d", i+1)
		supply, back, difference := r.driving(in, s.SupplyHead[i]), r.driving(in, s.ReturnHead[i]), r.driving(in, s.Difference[i])
		chart.Circuits = append(chart.Circuits, Takeoff{Name: name, Supply: supply.Number(), Return: back.Number(), Flow: flow.FromSI(q), Design: flow.FromSI(r.design)})
		table.Rows = append(table.Rows, []string{name, supply.Text(), back.Text(), difference.Text(), text(q, flow), share(q / r.design)})
		measures[fmt.Sprintf("flow_%d", i+1)] = q
		measures[fmt.Sprintf("difference_%d", i+1)] = s.Difference[i]
		if q < s.Flows[chart.Picked] {
			chart.Picked = i
		}
	}
	last := mainsCircuits - 1
	return &Result{
		Sentence: fmt.Sprintf("Floor 1 has %s across it and takes %s, %s of its design flow. Floor %d has %s and takes %s, %s.",
			r.driving(in, s.Difference[0]).Text(), text(s.Flows[0], flow), share(s.Flows[0]/r.design),
			last+1, r.driving(in, s.Difference[last]).Text(), text(s.Flows[last], flow), share(s.Flows[last]/r.design)),
		Chart: chart, Table: table, Measures: measures,
	}
}
