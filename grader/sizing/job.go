package sizing

import (
	"loopwright/grader/circulator"
	"loopwright/grader/network"
	"loopwright/grader/pipe"
	"loopwright/grader/quantity"
)

// Layout is how the rooms are piped.
type Layout string

// The layouts.
const (
	Series           Layout = "series"
	Split            Layout = "split-series"
	Diverter         Layout = "diverter"
	TwoPipeDirect    Layout = "two-pipe-direct"
	TwoPipeReverse   Layout = "two-pipe-reverse"
	Manifold         Layout = "manifold"
	PrimarySecondary Layout = "primary-secondary"
)

// Layouts lists them all.
func Layouts() []Layout {
	return []Layout{TwoPipeDirect, TwoPipeReverse, Series, Split, Diverter, Manifold, PrimarySecondary}
}

// Name is the layout as people call it.
func (l Layout) Name() string {
	return map[Layout]string{
		Series: "series loop", Split: "split series loop", Diverter: "one-pipe loop with diverter tees",
		TwoPipeDirect: "two-pipe, direct return", TwoPipeReverse: "two-pipe, reverse return",
		Manifold: "home runs from a manifold", PrimarySecondary: "primary/secondary, two-pipe secondary",
	}[l]
}

// Emitters that a job can be sized with.
const (
	FinTube  = "fin-tube"
	CastIron = "cast-iron"
	Panel    = "panel"
)

// Job is what the designer knows and decides. Values are SI.
type Job struct {
	Title  string
	Units  network.Units
	Layout Layout

	Supply  quantity.Celsius // water to the emitters
	Drop    quantity.Kelvin  // from supply to return
	Outdoor quantity.Celsius // design
	Rooms   []Room

	Material string  // of the pipe
	Main     float64 // m one way from the boiler to the manifold or the tees; layouts that have such a run
	Home     float64 // m from the last room back to the boiler; 0 is as far as the way out
	Fittings float64 // what fittings add to the length of the pipe, a share
	Limits   Limits

	Emitter     string
	EmitterLoss network.PowerLaw // of panels and cast iron
	Branch      float64          // share of the main that a diverter tee sends through its emitter

	BoilerLoss   network.PowerLaw
	BoilerDrop   quantity.Kelvin // primary/secondary: over the boiler
	BoilerVolume float64         // m³
	Height       float64         // m, top of the system above the tank's connection
	Cold         quantity.Celsius
	Relief       quantity.Pascal // gauge
	TopMargin    quantity.Pascal // least pressure at the top, cold
	ValveDrop    float64         // m that the balancing valve of the index circuit takes at the least
	Controls     bool            // thermostatic valves at the emitters, and so a bypass
	ControlDrop  float64         // m that an open thermostatic valve takes at design

	Circulators []circulator.Model
	Trim        Trim
}

// Trim is what is done with the head that a circulator gives in excess.
type Trim string

// The ways to trim.
const (
	ByValve Trim = "valve" // a balancing valve at the circulator takes it
	BySpeed Trim = "speed" // the circulator runs slower
)

// Room is a room with its way to the main.
type Room struct {
	ID       string
	Load     float64 // W
	Indoor   quantity.Celsius
	Distance float64 // m along the main from the take-off before; of the first, from the boiler
	Branch   float64 // m one way from the main to the emitter
	Loop     int     // of a split loop, from 1
}

// Limits are the designer's for pipe.
type Limits struct {
	Velocity float64 // m/s, in pipe of 2 in (DN 50) and smaller
	Friction float64 // m/m
	Least    int     // smallest DN to use
}

// SmallPipe is the largest DN that the limit of velocity governs; in larger
// pipe friction does. Source: ASHRAE Handbook Fundamentals, pipe sizing (from
// memory): 4 ft/s in 2 in and smaller, 4 ft per 100 ft above.
const SmallPipe = 50

// Defaults of a job, all common practice, in round numbers of each system of
// units.
func Defaults(u network.Units) Job {
	ft, gpm, psi := quantity.FootHead.ToSI, quantity.GallonPerMinute.ToSI, quantity.PSI.ToSI
	j := Job{
		Units: u, Layout: TwoPipeDirect, Material: "copper-m", Fittings: 0.5, Emitter: FinTube, Branch: 1.0 / 3, Cold: 10, Trim: ByValve, Circulators: circulator.Demo(),
		Supply: quantity.Celsius(quantity.Fahrenheit.ToSI(180)), Drop: quantity.Kelvin(quantity.FahrenheitDifference.ToSI(20)),
		Limits:      Limits{quantity.FootPerSecond.ToSI(4), 0.04, 15},
		EmitterLoss: radiatorLoss(), BoilerLoss: network.RatedPoint(gpm(10), ft(2), 2), BoilerVolume: quantity.Gallon.ToSI(3),
		Relief: quantity.Pascal(psi(30)), TopMargin: quantity.Pascal(psi(4)), ValveDrop: ft(1), ControlDrop: ft(2),
	}
	if u == network.SI {
		const liter, kilopascal = 1e-3, 0.102 // m³, m of water
		j.Supply, j.Drop, j.Material, j.Emitter = 75, 10, "copper-en1057", Panel
		j.Limits = Limits{1.2, 0.04, 15}
		j.BoilerLoss, j.BoilerVolume = network.RatedPoint(0.6*liter, 6*kilopascal, 2), 10*liter
		j.Relief, j.TopMargin, j.ValveDrop, j.ControlDrop = 300e3, 30e3, 3*kilopascal, 6*kilopascal
	}
	return j
}

// radiatorLoss is that of a radiator: three elbows of ¾ in. Source: ASHRAE
// Handbook Fundamentals, elbow equivalents (from memory).
func radiatorLoss() network.PowerLaw {
	s := pipe.MustFind("steel-sch40", "3/4")
	elbow, err := pipe.FittingNamed("elbow-90")
	if err != nil {
		panic(err) // the table is part of the program
	}
	const flow = 1e-4 // m³/s
	return network.RatedPoint(flow, 3*float64(elbow.HeadLoss(flow, s)), 2)
}
