package network

import (
	"loopwright/grader/boiler"
	"loopwright/grader/circulator"
	"loopwright/grader/emitter"
	"loopwright/grader/pipe"
	"loopwright/grader/quantity"
	"loopwright/grader/valve"
)

// System is a hot-water system as someone describes it. All values are SI.
type System struct {
	Title string
	// Water is the temperature of the water where it is not solved for, and
	// where a solution starts.
	Water quantity.Celsius
	// Air is round the pipes, where a link names none.
	Air quantity.Celsius
	// Outdoor is the outdoor temperature for which rooms are solved.
	Outdoor quantity.Celsius
	// Temperatures are solved for; otherwise only flows and pressures.
	Temperatures bool
	// Buoyancy counts the different weight of warm and cool water.
	Buoyancy bool

	Nodes []Node
	Links []Link
	Rooms []Room
}

// Node is a point of the system.
type Node struct {
	ID        string
	Elevation float64 // m
	// Hold is the gauge pressure (Pa) that is held here: the connection of
	// the expansion tank, or a reservoir.
	Hold *quantity.Pascal
	// Inflow enters the system here, m³/s; negative leaves it.
	Inflow float64
	// Enters is the temperature of what flows in.
	Enters quantity.Celsius
}

// Room is what emitters heat.
type Room struct {
	ID string
	// Indoor is the design temperature; without a loss the room keeps it.
	Indoor quantity.Celsius
	Loss   float64 // W/K to the outdoors
	Gain   float64 // W from other sources
	Design float64 // W, the load it was designed for; 0 where there is none
}

// Link leads from one node to another; a positive flow runs that way.
type Link struct {
	ID, From, To string
	Part         Part
	// Shut closes it altogether: a valve shut, a pipe full of air.
	Shut bool
	// Plugged is the share of its flow capacity that is lost.
	Plugged float64
	// Lock is the head (m) that a lock of air takes before anything moves.
	Lock float64
}

// Part is what a link is: one of the types below.
type Part interface {
	law() law
	kind() string
}

// Pipe is a run of pipe with its fittings.
type Pipe struct {
	Size   pipe.Size
	Length float64 // m
	K      float64 // sum of the loss coefficients of its fittings
	// Surface is the heat it loses, W for each meter and K above the air.
	Surface float64
}

// Loss is anything that loses a head by a power law: given by one rated point,
// or a coefficient and an exponent.
type Loss struct {
	PowerLaw
	Name string // what it is: diverter-tee, close-tees, separator; empty for any other
}

// Free is a link that loses next to nothing: closely spaced tees, a hydraulic
// separator. 1 mm at 1 L/s (demo).
var Free = Loss{PowerLaw: PowerLaw{1e-3 / (1e-3 * 1e-3), 2}}

// Valve is a valve with its coefficient when open, how far it is open, and how
// the one follows the other. A balancing valve is one, too.
type Valve struct {
	Open           valve.Coefficient
	Lift           float64 // 0 to 1
	Characteristic *valve.Characteristic
	Balancing      bool // set once by hand, for the flow
}

// Coefficient at the lift it has.
func (v Valve) Coefficient() valve.Coefficient {
	if v.Lift <= 0 {
		return 0
	}
	if v.Characteristic == nil {
		return v.Open * valve.Coefficient(v.Lift)
	}
	share, err := v.Characteristic.At(v.Lift)
	if err != nil {
		return 0
	}
	return v.Open * valve.Coefficient(share)
}

// Check is a check valve that opens at a head.
type Check struct {
	Open  valve.Coefficient
	Opens float64 // m
}

// Limiter holds a flow within a range of differences (m).
type Limiter struct {
	Flow     float64 // m³/s
	From, To float64
}

// Bypass opens above a difference, fully at set + band (m).
type Bypass struct {
	Open      valve.Coefficient
	Set, Band float64
}

// RadiatorValve is a thermostatic valve: half open when the room is at Set,
// shut half a band above it, open half a band below.
type RadiatorValve struct {
	Open valve.Coefficient
	Room string
	Set  quantity.Celsius
	Band quantity.Kelvin
}

// Mode is how a circulator's speed is controlled.
type Mode uint8

// The modes.
const (
	ConstantSpeed Mode = iota
	ConstantDifference
	ProportionalDifference
	ConstantDrop
)

// Circulator drives the flow.
type Circulator struct {
	Curve circulator.Curve
	Speed float64 // over the speed of the curve; the most of a controlled one
	Mode  Mode
	// Set is the head (m) to hold; a proportional one holds it at Rated and
	// half of it at no flow.
	Set   float64
	Rated float64 // m³/s
	// Drop is the temperature drop that a ConstantDrop circulator holds
	// between Warm and Cool, two nodes.
	Drop       quantity.Kelvin
	Warm, Cool string
	Least      float64 // lowest speed of a controlled one
	Check      bool    // with a check valve in its body
}

// Source gives heat to the water.
type Source struct {
	Loss PowerLaw
	// Supply is the temperature that it holds, as far as Most lets it. A
	// source without one gives Output, whatever the temperature.
	Supply *quantity.Celsius
	Output float64 // W
	Most   float64 // W; 0 is no limit
	// Limit is where it shuts itself off.
	Limit      quantity.Celsius
	Efficiency *boiler.Efficiency // of fuel against return; nil is not counted
}

// Radiator gives the water's heat to a room.
type Radiator struct {
	Emitter emitter.Emitter
	Room    string
	Loss    PowerLaw // a zero coefficient loses next to nothing
	// Air is how far below the room the air enters, K: fin-tube is rated by
	// entering air.
	Air quantity.Kelvin
}

// Mixer is one way into a mixing valve: the hot or the cool one. Both ways of a
// valve share its stem; the hot way opens as far as the cool one closes.
type Mixer struct {
	Open  valve.Coefficient
	Hot   bool
	Valve string  // what both ways share
	Lift  float64 // of the hot way, 0 to 1
	// Mixed is the temperature to hold; nil is set by hand.
	Mixed *quantity.Celsius
	Node  string // where it is measured
}
