package figure

import (
	"errors"
	"fmt"

	"loopwright/exercises"
	"loopwright/grader/circulator"
	"loopwright/grader/quantity"
)

// circulatorAndSystem: a demo circulator's curve crossed with a system curve.
var circulatorAndSystem = &Model{
	Name: "circulator-and-system", Title: "Circulator curve and system curve",
	Controls: func(units exercises.System) []Control {
		models := Control{Name: "circulator", Label: "Demo circulator", Default: 1}
		for _, m := range circulator.Demo() {
			models.Options = append(models.Options, m.ID)
		}
		speed := Control{Name: "speed", Label: "Speed", Min: 40, Max: 120, Step: 1, Unit: "%", Default: 100}
		if units == exercises.US {
			return []Control{models, speed,
				{Name: "flow", Label: "Flow the system was sized for", Min: 2, Max: 80, Step: 1, Unit: "gpm", Default: 12},
				{Name: "head", Label: "Head it takes at that flow", Min: 2, Max: 40, Step: 0.5, Unit: "ft", Default: 9}}
		}
		return []Control{models, speed,
			{Name: "flow", Label: "Flow the system was sized for", Min: 0.1, Max: 5, Step: 0.05, Unit: "L/s", Default: 0.8},
			{Name: "head", Label: "Head it takes at that flow", Min: 0.5, Max: 12, Step: 0.1, Unit: "m", Default: 2.7}}
	},
	Solve: solveCirculator,
}

// systemExponent of friction in a mix of pipe, fittings and valves. Demo value
// between 1.75 for smooth tube and 2 for valves.
const systemExponent = 1.9

func solveCirculator(in Input) (*Result, error) {
	m := circulator.Demo()[in.Pick("circulator")]
	curve, err := m.Curve.AtSpeed(in.Values["speed"] / 100)
	if err != nil {
		return nil, err
	}
	flow, head := in.at("flow", in.flow()), in.at("head", in.head())
	system, err := circulator.Through(0, flow.SI, quantity.MetersHead(head.SI), systemExponent)
	if err != nil {
		return nil, err
	}
	xMax := max(curve.End(), flow.SI) * 1.1
	yMax := max(float64(curve.Shutoff()), head.SI) * 1.1
	chart := &LineChart{XLabel: "flow, " + in.flow().Symbol, YLabel: "head, " + in.head().Symbol, XMax: in.flow().FromSI(xMax), YMax: in.head().FromSI(yMax)}
	pump := Line{Name: m.ID + " at " + quantity.Of(in.Values["speed"], quantity.Percent).Text(), Role: "circulator"}
	load := Line{Name: "system", Role: "system"}
	const points = 40
	for i := range points + 1 {
		x := float64(i) / points
		h, err := curve.Head(x * curve.End())
		if err != nil {
			return nil, err
		}
		pump.X, pump.Y = append(pump.X, in.flow().FromSI(x*curve.End())), append(pump.Y, in.head().FromSI(float64(h)))
		if s := float64(system.Head(x * xMax)); s <= yMax {
			load.X, load.Y = append(load.X, in.flow().FromSI(x*xMax)), append(load.Y, in.head().FromSI(s))
		}
	}
	chart.Lines = []Line{pump, load}
	return describePoint(in, m, curve, system, flow, chart)
}

func describePoint(in Input, m circulator.Model, curve circulator.Curve, system circulator.SystemCurve, design quantity.Quantity, chart *LineChart) (*Result, error) {
	p, err := circulator.OperatingPoint(curve, system)
	var none *circulator.NoCrossingError
	if errors.As(err, &none) {
		return &Result{
			Sentence: fmt.Sprintf("The %s runs off the end of its curve: the system takes less head than the circulator gives at its last flow, %s. It is too big here, or the system is open too wide.", m.Name, text(curve.End(), in.flow())),
			Chart:    chart,
			Table:    Table{Caption: "Operating point", Head: []string{"", "Flow", "Head"}, Rows: [][]string{{"end of the curve", text(curve.End(), in.flow()), text(float64(none.Curve), in.head())}}},
			Measures: map[string]float64{"flow": curve.End(), "head": float64(none.Curve)},
		}, nil
	}
	if err != nil {
		return nil, err
	}
	flow, head := quantity.FromSI(p.Flow, in.flow()), quantity.FromSI(float64(p.Head), in.head())
	chart.Points = []Point{{flow.Text(), flow.Number(), head.Number()}}
	rows := [][]string{
		{"asked for", design.Text(), text(float64(system.Head(design.SI)), in.head())},
		{"where it runs", flow.Text(), head.Text()},
	}
	measures := map[string]float64{"flow": p.Flow, "head": float64(p.Head)}
	sentence := fmt.Sprintf("The %s runs where its curve meets the system's: %s at %s, %s of the flow asked for.", m.Name, flow.Text(), head.Text(), share(p.Flow/design.SI))
	if curve.Powered() {
		w, err := curve.Power(p.Flow)
		if err != nil {
			return nil, err
		}
		measures["power"] = w
		sentence += fmt.Sprintf(" It draws %s.", text(w, quantity.Watt))
	}
	return &Result{Sentence: sentence, Chart: chart, Table: Table{Caption: "Operating point", Head: []string{"", "Flow", "Head"}, Rows: rows}, Measures: measures}, nil
}
