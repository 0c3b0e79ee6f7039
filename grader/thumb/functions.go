package thumb

import (
	"fmt"
	"slices"
	"strings"

	"loopwright/grader/quantity"
)

// Heat carried by a volume of water for each degree, J/(m³·K), as each
// practice rounds it. Rule factor-500.
var (
	FactorUS = quantity.BTUPerHourGPMDegree.ToSI(500)
	FactorSI = quantity.KilowattPerLiterSecondKelvin.ToSI(4.19)
)

// Customary drops from supply to return. Common practice.
var (
	DropUS = quantity.Kelvin(quantity.FahrenheitDifference.ToSI(20))
	DropSI = quantity.Kelvin(10)
)

// CustomaryFlow is the most flow that a size of pipe customarily carries.
type CustomaryFlow struct {
	Nominal string  // "2" in inches, or "DN50"
	Flow    float64 // m³/s
}

// customary lists are rule customary-flow.
var (
	customaryUS = flows(quantity.GallonPerMinute, []string{"1/2", "3/4", "1", "1-1/4", "1-1/2", "2", "2-1/2", "3"}, 1.5, 4, 8, 14, 22, 45, 85, 130)
	customarySI = flows(quantity.LiterPerSecond, []string{"DN15", "DN20", "DN25", "DN32", "DN40", "DN50", "DN65", "DN80"}, 0.1, 0.25, 0.5, 0.9, 1.4, 2.8, 5.4, 8.2)
)

func flows(u *quantity.Unit, names []string, values ...float64) []CustomaryFlow {
	list := make([]CustomaryFlow, len(names))
	for i, n := range names {
		list[i] = CustomaryFlow{n, u.ToSI(values[i])}
	}
	return list
}

// CustomaryFlowsUS lists the customary flows by nominal size in inches.
func CustomaryFlowsUS() []CustomaryFlow { return customaryUS }

// CustomaryFlowsSI lists the customary flows by DN.
func CustomaryFlowsSI() []CustomaryFlow { return customarySI }

// MostFlow is the customary flow (m³/s) of a nominal size: "2" for 2 in,
// "DN50". A size that has none is an error that names those that have.
func MostFlow(nominal string) (float64, error) {
	for _, list := range [][]CustomaryFlow{customaryUS, customarySI} {
		i := slices.IndexFunc(list, func(c CustomaryFlow) bool { return c.Nominal == nominal })
		if i >= 0 {
			return list[i].Flow, nil
		}
	}
	return 0, fmt.Errorf("no customary flow for size %q; known are %s and %s", nominal, names(customaryUS), names(customarySI))
}

func names(list []CustomaryFlow) string {
	all := make([]string, len(list))
	for i, c := range list {
		all[i] = c.Nominal
	}
	return strings.Join(all, ", ")
}

// SizeFor is the smallest size of a list that customarily carries a flow
// (m³/s); a *quantity.RangeError beyond the last.
func SizeFor(list []CustomaryFlow, flow float64) (CustomaryFlow, error) {
	for _, c := range list {
		// A flow that is the customary one is carried: the last bit of a
		// conversion must not push it into the next size.
		if flow <= c.Flow*(1+1e-9) {
			return c, nil
		}
	}
	return CustomaryFlow{}, &quantity.RangeError{Quantity: "flow with a customary pipe size", Value: flow, Low: 0, High: list[len(list)-1].Flow, Unit: "m3/s"}
}

// OutletCapacity is a boiler's likely capacity in W, read from the customary
// flow of its outlet (m³/s): flow × factor × drop. Rule outlet-capacity.
func OutletCapacity(flow, factor float64, drop quantity.Kelvin) float64 {
	return flow * factor * float64(drop)
}

// LongestRun is the longest run (m), there and back, of a building of these
// outside dimensions (m). Rule longest-run.
func LongestRun(length, width, height float64) float64 { return 2 * (length + width + height) }

// HeadPerRun is the head for each length of the longest run, m/m: 6 ft per
// 100 ft. Rule head-per-run. The SI wording, 0.6 kPa/m, is the same within
// 2 %.
const HeadPerRun = 0.06

// HeadForRun is the head (m) of a system by its longest run (m).
func HeadForRun(run float64) quantity.MetersHead { return quantity.MetersHead(HeadPerRun * run) }

// FrictionLimit is the customary most friction in a main, m/m. Rule
// friction-limit.
const FrictionLimit = 0.04

// FittingsShare is what fittings add to the length of the pipe. Rule
// fittings-half.
const FittingsShare = 0.5

// Bounds of velocity in m/s, in round numbers of each practice. Rule
// velocity-bounds.
var (
	SlowestUS, FastestUS = quantity.FootPerSecond.ToSI(2), quantity.FootPerSecond.ToSI(4)
	SlowestSI, FastestSI = 0.6, 1.2
)

// ReverseReturnPays says whether, by custom, reverse return pays for a main of
// this nominal size: "2" or "DN50" and smaller. Rule reverse-return.
func ReverseReturnPays(nominal string) (bool, error) {
	flow, err := MostFlow(nominal)
	if err != nil {
		return false, err
	}
	largest, err := MostFlow("2")
	return flow <= largest*(1+1e-9), err
}

// FillPressureUS is the cold fill pressure at the gauge for a height (m) of
// the system above it: 0.433 psi for each foot, and 4 psi. Rule fill-pressure.
func FillPressureUS(height float64) quantity.Pascal {
	return quantity.Pascal(quantity.PSI.ToSI(0.433*quantity.Foot.FromSI(height) + 4))
}

// FillPressureSI is the same in SI practice: 9.8 kPa for each meter, and
// 30 kPa.
func FillPressureSI(height float64) quantity.Pascal {
	return quantity.Pascal(1000 * (9.8*height + 30))
}

// Baseboard is the customary output of fin-tube at 180 °F (82 °C) mean water,
// W/m. Rule baseboard-600.
var (
	BaseboardUS = quantity.BTUPerHourFoot.ToSI(600)
	BaseboardSI = 575.0
)
