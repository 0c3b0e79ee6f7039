package thumb

import (
	"fmt"
	"math"

	"loopwright/grader/quantity"
)

// FlowByTenThousand is the flow for a load by one gpm for each 10,000 BTU/h.
//
//	Q = Φ / 10,000
//
// Load in W, result in m³/s; right for a drop of 20 °F only. Rule
// ten-thousand.
func FlowByTenThousand(load float64) float64 {
	return quantity.GallonPerMinute.ToSI(quantity.BTUPerHour.FromSI(load) / 10000)
}

// HeadAtFlow carries a head known at one flow over to another.
//
//	h = h_known (Q/Q_known)²
//
// Flows in m³/s (or both in any one unit), head in m. A known flow of zero is
// an error: nothing follows from it. Rule square-law.
func HeadAtFlow(known quantity.MetersHead, knownFlow, flow float64) (quantity.MetersHead, error) {
	if !(knownFlow > 0) || !(flow >= 0) {
		return 0, fmt.Errorf("the square law needs a known flow above zero and a flow of zero or more, got %g and %g", knownFlow, flow)
	}
	r := flow / knownFlow
	return known * quantity.MetersHead(r*r), nil
}

// PressureOfHeightUS is the pressure under a height (m) of cold water: 0.433
// psi for each foot. Rule feet-per-psi.
func PressureOfHeightUS(height float64) quantity.Pascal {
	return quantity.Pascal(quantity.PSI.ToSI(0.433 * quantity.Foot.FromSI(height)))
}

// PressureOfHeightSI is the same in SI practice: 9.8 kPa for each meter. Rule
// feet-per-psi.
func PressureOfHeightSI(height float64) quantity.Pascal { return quantity.Pascal(9800 * height) }

// HeadOfPressureUS is the height (m) of cold water that a pressure holds up:
// 2.31 ft for each psi. The two roundings, 0.433 and 2.31, give a foot back as
// 1.0002 ft. Rule feet-per-psi.
func HeadOfPressureUS(p quantity.Pascal) quantity.MetersHead {
	return quantity.MetersHead(quantity.FootHead.ToSI(2.31 * quantity.PSI.FromSI(float64(p))))
}

// WaterPowerUS is the power that the water takes up, in W.
//
//	hp = gpm × ft / 3960
//
// Flow in m³/s, head in m; cold water. Rule pump-3960. Source of the form:
// Hydraulic Institute Engineering Data Library eq. 1.B.4.
func WaterPowerUS(flow float64, head quantity.MetersHead) float64 {
	return quantity.Horsepower.ToSI(quantity.GallonPerMinute.FromSI(flow) * quantity.FootHead.FromSI(float64(head)) / 3960)
}

// WaterPowerSI is the power that the water takes up, in W: L/s × kPa, which is
// no rule of thumb but exact. Flow in m³/s. Rule pump-3960.
func WaterPowerSI(flow float64, rise quantity.Pascal) float64 { return flow * float64(rise) }

// SeriesLoop is a 3/4 in fin-tube loop by custom.
type SeriesLoop struct {
	Flow   float64 // m³/s, the customary flow of the pipe
	Load   float64 // W at the customary drop
	Length float64 // m of fin-tube that gives off the load
}

// SeriesLoopUS is the loop of rule series-loop in US practice: 4 gpm, times
// 500 and 20 °F, over 600 BTU/h for each foot.
func SeriesLoopUS() SeriesLoop { return seriesLoop(customaryUS[1].Flow, FactorUS, DropUS, BaseboardUS) }

// SeriesLoopSI is the same in SI practice: 0.25 L/s, times 4.19 and 10 K, over
// 575 W/m.
func SeriesLoopSI() SeriesLoop { return seriesLoop(customarySI[1].Flow, FactorSI, DropSI, BaseboardSI) }

func seriesLoop(flow, factor float64, drop quantity.Kelvin, perLength float64) SeriesLoop {
	load := OutletCapacity(flow, factor, drop)
	return SeriesLoop{flow, load, load / perLength}
}

// Output of a radiator for each square foot of EDR, in W. Rule edr-output.
var (
	EDRWater = quantity.BTUPerHour.ToSI(150) // 170 °F mean water, 70 °F room
	EDRSteam = quantity.BTUPerHour.ToSI(240) // the definition of EDR
)

// TakeSmaller applies rule smaller-curve: of circulators by the heads (m) that
// their curves give at the design flow, it finds the one to take for a design
// head (m). Where the design head lies between two of them it takes the
// smaller; where one meets it exactly, that one.
//
// heads may be in any order; one that does not reach the flow counts as zero.
// A design head above all of them, or below all of them, lies between no two:
// that is an error, for the rule says nothing about it.
func TakeSmaller(heads []quantity.MetersHead, design quantity.MetersHead) (int, error) {
	below, above := -1, false
	for i, h := range heads {
		if h >= design {
			above = true
		}
		if h > 0 && h <= design && (below < 0 || h > heads[below]) {
			below = i
		}
	}
	if below < 0 || !above || math.IsNaN(float64(design)) {
		return 0, fmt.Errorf("a design head of %.3g m lies between no two of these circulators", float64(design))
	}
	return below, nil
}
