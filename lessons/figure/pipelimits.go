package figure

import (
	"fmt"

	"loopwright/exercises"
	"loopwright/grader/pipe"
	"loopwright/grader/quantity"
)

// limitSizes are the sizes that pipe-limits offers: steel schedule 40 in US
// units, EN 10255 medium in SI.
var limitSizes = map[exercises.System][]string{
	exercises.US: {"1/2", "3/4", "1", "1-1/4", "1-1/2", "2", "2-1/2", "3"},
	exercises.SI: {"DN15", "DN20", "DN25", "DN32", "DN40", "DN50", "DN65", "DN80"},
}

func limitSize(units exercises.System, i int) pipe.Size {
	if units == exercises.US {
		return pipe.MustFind("steel-sch40", limitSizes[units][i])
	}
	return pipe.MustFind("steel-en10255", limitSizes[units][i])
}

// pipeLimits: velocity and friction rate against flow, for one size of pipe.
var pipeLimits = &Model{
	Name: "pipe-limits", Title: "What a pipe size allows",
	Controls: func(units exercises.System) []Control {
		sizes := Control{Name: "size", Label: "Steel pipe", Default: 2}
		for i := range limitSizes[units] {
			sizes.Options = append(sizes.Options, limitSize(units, i).Label())
		}
		if units == exercises.US {
			return []Control{sizes,
				{Name: "flow", Label: "Flow", Min: 1, Max: 140, Step: 1, Unit: "gpm", Default: 8},
				{Name: "mean", Label: "Water temperature", Min: 50, Max: 200, Step: 10, Unit: "°F", Default: 180}}
		}
		return []Control{sizes,
			{Name: "flow", Label: "Flow", Min: 0.05, Max: 9, Step: 0.05, Unit: "L/s", Default: 0.5},
			{Name: "mean", Label: "Water temperature", Min: 10, Max: 90, Step: 5, Unit: "°C", Default: 70}}
	},
	Solve: solvePipeLimits,
}

// Limits that the figure draws. 4 ft per 100 ft and 4 ft/s: ASHRAE Handbook
// Fundamentals, pipe design (from memory); 400 Pa/m and 1.2 m/s are the same
// in round SI numbers, common practice.
func (in Input) frictionLimit() quantity.Quantity {
	return native(in, quantity.Of(4, quantity.FootPerHundredFeet), quantity.Of(400, quantity.PascalPerMeter))
}

func (in Input) velocityLimit() quantity.Quantity {
	return native(in, quantity.Of(4, quantity.FootPerSecond), quantity.Of(1.2, quantity.MeterPerSecond))
}

func solvePipeLimits(in Input) (*Result, error) {
	s := limitSize(in.Units, in.Pick("size"))
	flow, mean := in.at("flow", in.flow()), in.at("mean", in.reading())
	w, err := waterAt(mean)
	if err != nil {
		return nil, err
	}
	limit, fastest := in.frictionLimit(), in.velocityLimit()
	// rate gives the loss in the unit of the limit: head in US, pressure in SI.
	rate := func(q float64) float64 {
		r, _ := s.HeadLossRate(q, w)
		if in.US() {
			return quantity.FootPerHundredFeet.FromSI(r)
		}
		return float64(quantity.MetersHead(r).Pressure(w.Density))
	}
	atLimit, err := s.FlowAtRate(native(in, limit.SI, float64(quantity.Pascal(limit.SI).Head(w.Density))), w)
	if err != nil {
		return nil, err
	}
	atVelocity := s.FlowAtVelocity(fastest.SI)
	xMax := 1.6 * max(atLimit, atVelocity)
	yMax := 3 * limit.Number()
	curve := Line{Name: s.Label(), Role: "engine"}
	const points = 40
	for i := range points + 1 {
		q := xMax * float64(i) / points
		if y := rate(q); y <= yMax {
			curve.X, curve.Y = append(curve.X, in.flow().FromSI(q)), append(curve.Y, y)
		}
	}
	x := in.flow().FromSI(xMax)
	loss := quantity.Of(rate(flow.SI), limit.Unit)
	v := quantity.FromSI(s.Velocity(flow.SI), fastest.Unit)
	chart := &LineChart{XLabel: "flow, " + in.flow().Symbol, YLabel: "friction, " + limit.Unit.Symbol, XMax: x, YMax: yMax,
		Lines: []Line{curve,
			{"friction limit", "rule", []float64{0, x}, []float64{limit.Number(), limit.Number()}},
			{"velocity limit", "limit", []float64{in.flow().FromSI(atVelocity), in.flow().FromSI(atVelocity)}, []float64{0, yMax}}}}
	if flow.SI <= xMax && loss.Number() <= yMax {
		chart.Points = []Point{{flow.Text(), flow.Number(), loss.Number()}}
	}
	return &Result{
		Sentence: fmt.Sprintf("%s in %s steel runs at %s and loses %s: %s.", flow.Text(), s.Label(), v.Text(), loss.Text(),
			limitWords(loss.Number()/limit.Number(), v.SI/fastest.SI)),
		Chart: chart,
		Table: Table{Caption: "Limits of " + s.Label() + " steel with water at " + mean.Text(), Head: []string{"", "Limit", "Flow at the limit", "Now"}, Rows: [][]string{
			{"friction", limit.Text(), text(atLimit, in.flow()), loss.Text()},
			{"velocity", fastest.Text(), text(atVelocity, in.flow()), v.Text()},
		}},
		Measures: map[string]float64{"loss": loss.SI, "velocity": v.SI, "flow_at_limit": atLimit},
	}, nil
}

func limitWords(friction, velocity float64) string {
	switch {
	case friction > 1 && velocity > 1:
		return "over both limits"
	case friction > 1:
		return "over the friction limit"
	case velocity > 1:
		return "over the velocity limit"
	case velocity < 0.5:
		return "inside both limits, and too slow to carry air along"
	}
	return "inside both limits"
}
