package figure

import (
	"fmt"

	"loopwright/exercises"
	"loopwright/grader/quantity"
)

// heatCarried: what a flow carries at a drop, by the rounded factor and by the
// properties of the water.
var heatCarried = &Model{
	Name: "heat-carried", Title: "The heat that a flow carries",
	Controls: func(units exercises.System) []Control {
		if units == exercises.US {
			return []Control{
				{Name: "flow", Label: "Flow", Min: 1, Max: 20, Step: 0.5, Unit: "gpm", Default: 6},
				{Name: "drop", Label: "Temperature drop", Min: 5, Max: 40, Step: 1, Unit: "°F", Default: 20},
				{Name: "mean", Label: "Mean water temperature", Min: 50, Max: 210, Step: 5, Unit: "°F", Default: 170},
			}
		}
		return []Control{
			{Name: "flow", Label: "Flow", Min: 0.05, Max: 1.2, Step: 0.05, Unit: "L/s", Default: 0.4},
			{Name: "drop", Label: "Temperature drop", Min: 3, Max: 25, Step: 1, Unit: "K", Default: 10},
			{Name: "mean", Label: "Mean water temperature", Min: 10, Max: 100, Step: 5, Unit: "°C", Default: 75},
		}
	},
	Solve: solveHeatCarried,
}

func solveHeatCarried(in Input) (*Result, error) {
	flow, drop := in.at("flow", in.flow()), in.at("drop", in.difference())
	mean := in.at("mean", in.reading())
	w, err := waterAt(mean)
	if err != nil {
		return nil, err
	}
	factorUnit := native(in, quantity.BTUPerHourGPMDegree, quantity.KilowattPerLiterSecondKelvin)
	rule := native(in, factorUnit.ToSI(500), factorUnit.ToSI(4.19))
	widest := native(in, 20.0, 1.2) // the flow control's end
	line := func(name, role string, factor float64) Line {
		return Line{name, role, []float64{0, widest}, []float64{0, in.heat().FromSI(in.flow().ToSI(widest) * drop.SI * factor)}}
	}
	byRule, byEngine := flow.SI*drop.SI*rule, flow.SI*drop.SI*w.VolumetricHeat()
	r := line("rounded factor", "rule", rule)
	e := line("this water", "engine", w.VolumetricHeat())
	return &Result{
		Sentence: fmt.Sprintf("%s cooling by %s carries %s by the rounded factor. Water at %s really carries %s, %s.",
			flow.Text(), drop.Text(), text(byRule, in.heat()), mean.Text(), text(byEngine, in.heat()), percent(byEngine/byRule)),
		Chart: &LineChart{XLabel: "flow, " + in.flow().Symbol, YLabel: "heat, " + in.heat().Symbol, XMax: r.X[1], YMax: max(r.Y[1], e.Y[1]),
			Lines:  []Line{r, e},
			Points: []Point{{Name: text(byEngine, in.heat()), X: flow.Number(), Y: in.heat().FromSI(byEngine)}}},
		Table: Table{Caption: "Heat carried", Head: []string{"", "Factor", "Heat"}, Rows: [][]string{
			{"rounded factor", text(rule, factorUnit), text(byRule, in.heat())},
			{"water at " + mean.Text(), text(w.VolumetricHeat(), factorUnit), text(byEngine, in.heat())},
		}},
		Measures: map[string]float64{"heat": byEngine, "heat_by_rule": byRule, "factor": w.VolumetricHeat()},
	}, nil
}
