package figure

import (
	"fmt"

	"loopwright/exercises"
	"loopwright/grader/circulator"
	"loopwright/grader/emitter"
	"loopwright/grader/network"
	"loopwright/grader/quantity"
)

// separator: a boiler side and a system side that meet in a hydraulic
// separator, each with its own circulator.
var separator = &Model{
	Name: "separator", Title: "Two circulators and a separator",
	Controls: func(units exercises.System) []Control {
		supply := Control{Name: "supply", Label: "Water out of the boiler", Min: 50, Max: 85, Step: 1, Unit: "°C", Default: 75}
		if units == exercises.US {
			supply = Control{Name: "supply", Label: "Water out of the boiler", Min: 120, Max: 180, Step: 2, Unit: "°F", Default: 170}
		}
		return []Control{
			{Name: "boiler", Label: "Speed of the boiler’s circulator", Min: 30, Max: 100, Step: 1, Unit: "%", Default: 60},
			{Name: "system", Label: "Speed of the system’s circulator", Min: 30, Max: 100, Step: 1, Unit: "%", Default: 90},
			supply,
		}
	},
	Solve: solveSeparator,
}

// separatorPlan is the demo system: 20 kW of panels in rooms of 20 °C, and the
// same losses on both sides.
func separatorPlan(supply quantity.Celsius) (*network.Model, error) {
	c, _ := circulator.DemoNamed("C-15")
	panels, err := emitter.Panel(20e3, emitter.PanelExponent)
	if err != nil {
		return nil, err
	}
	held := quantity.Pascal(120e3)
	drive := func(id, from, to string) network.Link {
		return network.Link{ID: id, From: from, To: to, Part: network.Circulator{Curve: c.Curve, Speed: 1, Check: true}}
	}
	loss := func(id, from, to string) network.Link {
		return network.Link{ID: id, From: from, To: to, Part: network.Loss{PowerLaw: network.RatedPoint(0.6e-3, 3.5, 1.9)}}
	}
	return network.Prepare(&network.System{
		Water: 60, Air: 20, Temperatures: true,
		Nodes: []network.Node{{ID: "back", Hold: &held}},
		Rooms: []network.Room{{ID: "rooms", Indoor: 20}},
		Links: []network.Link{
			{ID: "boiler", From: "back", To: "hot", Part: network.Source{Loss: network.RatedPoint(0.6e-3, 0.5, 2), Supply: &supply, Limit: 95}},
			drive("boiler side", "hot", "ahead"), loss("boiler piping", "ahead", "top"),
			{ID: "separator", From: "top", To: "back", Part: network.Free},
			drive("system side", "top", "mains"), loss("system piping", "mains", "in"),
			{ID: "panels", From: "in", To: "back", Part: network.Radiator{Emitter: panels, Room: "rooms"}},
		},
	})
}

func setSpeed(m *network.Model, id string, percent float64) error {
	return m.Change(id, func(l *network.Link) {
		c := l.Part.(network.Circulator)
		c.Speed = percent / 100
		l.Part = c
	})
}

func solveSeparator(in Input) (*Result, error) {
	supply := in.at("supply", in.reading())
	m, err := separatorPlan(quantity.Celsius(supply.SI))
	if err != nil {
		return nil, err
	}
	if err := setSpeed(m, "boiler side", in.Values["boiler"]); err != nil {
		return nil, err
	}
	to := Line{Name: "to the system", Role: "system"}
	from := Line{Name: "back to the boiler", Role: "circulator"}
	u := in.reading()
	for speed := 30.0; speed <= 100; speed += 5 {
		if err := setSpeed(m, "system side", speed); err != nil {
			return nil, err
		}
		s, err := m.Solve()
		if err != nil {
			return nil, err
		}
		a, b := separatorWater(s)
		to.X, to.Y = append(to.X, speed), append(to.Y, u.FromSI(float64(a)))
		from.X, from.Y = append(from.X, speed), append(from.Y, u.FromSI(float64(b)))
	}
	if err := setSpeed(m, "system side", in.Values["system"]); err != nil {
		return nil, err
	}
	s, err := m.Solve()
	if err != nil {
		return nil, err
	}
	chart := &LineChart{XLabel: "speed of the system’s circulator, %", YLabel: "water, " + u.Symbol, XMax: 105, YMax: supply.Number() * 1.1, Lines: []Line{to, from}}
	return describeSeparator(in, s, chart)
}

// separatorWater is what the separator sends to the system and back to the
// boiler.
func separatorWater(s *network.Solution) (toSystem, toBoiler quantity.Celsius) {
	side, _ := s.Link("system side")
	boiler, _ := s.Link("boiler")
	return side.In, boiler.In
}

func describeSeparator(in Input, s *network.Solution, chart *LineChart) (*Result, error) {
	u := in.reading()
	toSystem, toBoiler := separatorWater(s)
	boiler, _ := s.Link("boiler")
	side, _ := s.Link("system side")
	through, _ := s.Link("separator")
	panels, _ := s.Link("panels")
	// One label: the two lines often lie close together.
	chart.Points = []Point{{text(float64(toSystem), u), in.Values["system"], u.FromSI(float64(toSystem))}}
	sentence := fmt.Sprintf("The boiler moves %s and the system %s. ", text(boiler.Flow, in.flow()), text(side.Flow, in.flow()))
	most := max(boiler.Mass, side.Mass)
	switch {
	case through.Mass > 0.01*most:
		sentence += fmt.Sprintf("Hot water turns back through the separator, so the boiler gets %s though the panels send %s.", text(float64(toBoiler), u), text(float64(panels.Out), u))
	case through.Mass < -0.01*most:
		sentence += fmt.Sprintf("Cool water rises through the separator, so the system gets %s though the boiler sends %s.", text(float64(toSystem), u), text(float64(boiler.Out), u))
	default:
		sentence += "Next to nothing passes the separator: each side gets the other’s water as it was sent."
	}
	sentence += fmt.Sprintf(" The panels give %s.", text(panels.Heat, in.heat()))
	row := func(name string, l network.LinkResult, a, b quantity.Celsius) []string {
		return []string{name, text(l.Flow, in.flow()), text(float64(a), u), text(float64(b), u)}
	}
	return &Result{
		Sentence: sentence, Chart: chart,
		Table: Table{Caption: "Both sides of the separator", Head: []string{"", "Flow", "Out", "Back"}, Rows: [][]string{
			row("boiler side", boiler, boiler.Out, boiler.In), row("system side", side, toSystem, panels.Out)}},
		Measures: map[string]float64{"heat": panels.Heat, "to_system": float64(toSystem), "to_boiler": float64(toBoiler), "boiler_flow": boiler.Flow, "system_flow": side.Flow, "separator_flow": through.Flow},
	}, nil
}
