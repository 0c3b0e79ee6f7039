package figure

import (
	"fmt"
	"math"

	"loopwright/exercises"
	"loopwright/grader/emitter"
	"loopwright/grader/network"
	"loopwright/grader/quantity"
)

// loopCascade: water temperature along a loop of equal rooms, in series or
// with diverter tees.
var loopCascade = &Model{
	Name: "loop-cascade", Title: "Temperature along the loop",
	Controls: func(units exercises.System) []Control {
		layout := Control{Name: "layout", Label: "Layout", Options: []string{"series", "diverter tees"}}
		rooms := Control{Name: "rooms", Label: "Rooms on the loop", Min: 2, Max: 10, Step: 1, Default: 6}
		if units == exercises.US {
			return []Control{layout, rooms,
				{Name: "flow", Label: "Flow in the loop", Min: 1, Max: 6, Step: 0.25, Unit: "gpm", Default: 4},
				{Name: "supply", Label: "Supply temperature", Min: 120, Max: 200, Step: 5, Unit: "°F", Default: 190}}
		}
		return []Control{layout, rooms,
			{Name: "flow", Label: "Flow in the loop", Min: 0.06, Max: 0.4, Step: 0.01, Unit: "L/s", Default: 0.25},
			{Name: "supply", Label: "Supply temperature", Min: 50, Max: 90, Step: 1, Unit: "°C", Default: 85}}
	},
	Solve: solveLoopCascade,
}

// A demo room and its baseboard, sized for the water temperature that the
// first room gets.
const demoShare = 0.3 // of the main's flow through each diverter tee; demo

func demoRoom(in Input) (load float64, air quantity.Celsius, e emitter.Emitter) {
	if in.US() {
		return quantity.BTUPerHour.ToSI(6000), quantity.Celsius(quantity.Fahrenheit.ToSI(65)), emitter.DemoFinTube().Length(quantity.Foot.ToSI(10))
	}
	return 1800, 18, emitter.DemoFinTube().Length(3.2)
}

func solveLoopCascade(in Input) (*Result, error) {
	load, air, e := demoRoom(in)
	supply, flow := in.at("supply", in.reading()), in.at("flow", in.flow())
	w, err := waterAt(supply)
	if err != nil {
		return nil, err
	}
	c := flow.SI * w.VolumetricHeat()
	n := int(in.Values["rooms"])
	stops := make([]network.Stop, n)
	for i := range stops {
		stops[i] = network.Stop{Emitter: e, Room: air, Share: demoShare}
	}
	solve, layout := network.SeriesLoop, "series"
	if in.Pick("layout") == 1 {
		solve, layout = network.DiverterLoop, "diverter tees"
	}
	passed, err := solve(quantity.Celsius(supply.SI), c, stops)
	if err != nil {
		return nil, err
	}
	unit := in.reading()
	chart := &CascadeChart{Unit: unit.Symbol, Supply: supply.Number(), Limit: math.NaN()}
	table := Table{Caption: "Stop by stop, " + layout, Head: []string{"Room", "Water entering", "Out of the emitter", "Main behind it", "Heat", "Of the room's need"}}
	measures := map[string]float64{}
	short := 0
	for i, p := range passed {
		ratio := p.Heat / load
		if ratio < enough {
			short++
		}
		name := fmt.Sprintf("room %d", i+1)
		chart.Stops = append(chart.Stops, CascadeStop{Name: name, Entering: unit.FromSI(float64(p.Entering)), After: unit.FromSI(float64(p.After)),
			Leaving: unit.FromSI(float64(p.Leaving)), Share: share(ratio), Short: ratio < enough})
		table.Rows = append(table.Rows, []string{name, text(float64(p.Entering), unit), text(float64(p.Leaving), unit), text(float64(p.After), unit), text(p.Heat, in.heat()), share(ratio)})
		measures[fmt.Sprintf("heat_%d", i+1)] = p.Heat
		measures[fmt.Sprintf("entering_%d", i+1)] = above(p.Entering, air)
	}
	last := passed[n-1]
	measures["heat_last"], measures["entering_last"], measures["return"] = last.Heat, above(last.Entering, air), above(last.After, air)
	return &Result{
		Sentence: fmt.Sprintf("The first room's emitter gets %s, the last one's %s. %s", supply.Text(), text(float64(last.Entering), unit), shortWords(short, n)),
		Chart:    chart, Table: table, Measures: measures,
	}, nil
}

// enough is the share of its need from which a room counts as warm. Demo value.
const enough = 0.95

// above is a temperature above the room air, so that changes compare in either
// scale.
func above(t, air quantity.Celsius) float64 { return float64(t.Minus(air)) }

func shortWords(short, n int) string {
	switch short {
	case 0:
		return "Every room gets at least " + share(enough) + " of its heat."
	case 1:
		return "One room is short of heat."
	case n:
		return "Every room is short of heat."
	}
	return fmt.Sprintf("%d rooms are short of heat.", short)
}
