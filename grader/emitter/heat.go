package emitter

import (
	"fmt"
	"math"

	"loopwright/grader/quantity"
)

// Heat is what water gives off on its way through the emitter, and the
// temperature at which it leaves. It is [Emitter.HeatAlong]: of the three ways
// the exact one, and holds at every flow down to a trickle, where the
// arithmetic mean of EN 442 fails. While the return's excess is above 0.7 of the
// supply's, the two stay within 2 % of each other.
//
// c in W/K, temperatures in °C, heat in W. Errors as [Emitter.Check], and for
// flows and temperatures that are not numbers or out of range.
func (e Emitter) Heat(c float64, supply, room quantity.Celsius) (heat float64, leaving quantity.Celsius, err error) {
	return e.HeatAlong(c, supply, room)
}

// Outlet is Heat for a flow in m³/s of a fluid that holds volumetricHeat
// J/(m³·K), density times specific heat.
func (e Emitter) Outlet(flow float64, supply, room quantity.Celsius, volumetricHeat float64) (leaving quantity.Celsius, heat float64, err error) {
	if !(volumetricHeat > 0) {
		return 0, 0, fmt.Errorf("emitter: the fluid's heat capacity must be above zero, got %g J/(m³·K)", volumetricHeat)
	}
	heat, leaving, err = e.Heat(flow*volumetricHeat, supply, room)
	return leaving, heat, err
}

// HeatAlong follows the water through the emitter: each part gives off heat by
// its own water's excess.
//
//	c dθ/dx = −k θ^n   →   θ_out = θ_in (1 + (n−1) u)^(−1/(n−1)),  u = k θ_in^(n−1) / c
//	Φ = c (θ_in − θ_out);   n = 1: θ_out = θ_in e^(−u)
//
// θ is the excess over the room (K), c the capacity rate (W/K), k the output
// per K^n (W), which the same integral at the rated temperatures gives. Heat
// in W, leaving temperature in °C. Zero flow gives no heat and water at room
// temperature; water that enters at or below the room leaves as it came. Own
// derivation from the power law of EN 442-2 taken locally; checked by stepping
// along the emitter in the tests.
func (e Emitter) HeatAlong(c float64, supply, room quantity.Celsius) (heat float64, leaving quantity.Celsius, err error) {
	in, done, err := e.entering(c, supply, room)
	if done {
		return 0, e.still(c, supply, room), err
	}
	// k from the rating: k = c_r (θ_out^(1−n) − θ_in^(1−n))/(n−1), c_r = Φ/drop.
	k := e.Output / math.Pow(float64(e.Excess), e.Exponent)
	if e.Drop > 0 {
		k = e.Output / float64(e.Drop) * along(float64(e.Excess-e.Drop/2), float64(e.Drop), e.Exponent)
	}
	u := k * e.FlowFactor(c) * math.Pow(in, e.Exponent-1) / c
	if e.Exponent > 1 {
		u = math.Log1p((e.Exponent-1)*u) / (e.Exponent - 1)
	}
	heat = -c * in * math.Expm1(-u)
	return heat, leavingAt(c, heat, supply, room), nil
}

// HeatArithmetic takes the arithmetic mean excess for the whole emitter, as
// its EN 442 rating does.
//
//	Φ = Φ_rated (ΔT/ΔT_rated)^n,  ΔT = (t_in + t_out)/2 − t_room,  Φ = c (t_in − t_out)
//
// c in W/K, temperatures in °C, heat in W. At small flows the equations would
// cool the water below the room: then a *quantity.RangeError with the capacity
// rate. Source: EN 442-2.
func (e Emitter) HeatArithmetic(c float64, supply, room quantity.Celsius) (heat float64, leaving quantity.Celsius, err error) {
	in, done, err := e.entering(c, supply, room)
	if done {
		return 0, e.still(c, supply, room), err
	}
	k := e.Output / math.Pow(float64(e.Excess), e.Exponent) * e.FlowFactor(c)
	if least := k * math.Pow(in/2, e.Exponent) / in; c < least {
		return 0, 0, &quantity.RangeError{Quantity: "capacity rate for an arithmetic mean", Value: c, Low: least, High: math.Inf(1), Unit: "W/K"}
	}
	// k (in − x/2)^n − c x falls and is convex in the drop x, so Newton's
	// method from x = 0 climbs to the root and never passes it.
	x := 0.0
	const most = 100
	for range most {
		m := in - x/2
		g := k*math.Pow(m, e.Exponent) - c*x
		step := g / (k*e.Exponent/2*math.Pow(m, e.Exponent-1) + c)
		x += step
		if math.Abs(step) <= 1e-14*in {
			return c * x, leavingAt(c, c*x, supply, room), nil
		}
	}
	return 0, 0, fmt.Errorf("emitter: no drop found after %d iterations, at %g K", most, x)
}

// HeatLogarithmic takes the logarithmic mean excess, at the rating and in use.
//
//	Φ = Φ_rated (ΔT/ΔT_rated)^n,  ΔT = (t_in − t_out)/ln((t_in − t_room)/(t_out − t_room))
//
// c in W/K, temperatures in °C, heat in W; holds at every flow. Source: the
// conversion that DS 469 recommends, as described in a public article on it.
func (e Emitter) HeatLogarithmic(c float64, supply, room quantity.Celsius) (heat float64, leaving quantity.Celsius, err error) {
	in, done, err := e.entering(c, supply, room)
	if done {
		return 0, e.still(c, supply, room), err
	}
	rated := logMean(float64(e.Excess-e.Drop/2), float64(e.Drop))
	k := e.Output / math.Pow(rated, e.Exponent) * e.FlowFactor(c)
	// With r = θ_out/θ_in, ln r = −(k/c) ΔT^(n−1): the left side rises with r
	// without bound, the right side falls, so there is one root; bisection in
	// ln r finds it to the last figure.
	low, high := -k/c*math.Pow(in, e.Exponent-1), 0.0
	for range 200 {
		y := low + (high-low)/2
		if y == low || y == high {
			break
		}
		mean := in * math.Expm1(y) / y
		if y+k/c*math.Pow(mean, e.Exponent-1) < 0 {
			low = y
		} else {
			high = y
		}
	}
	heat = -c * in * math.Expm1((low+high)/2)
	return heat, leavingAt(c, heat, supply, room), nil
}

// entering checks the arguments; done says that no heat flows.
func (e Emitter) entering(c float64, supply, room quantity.Celsius) (excess float64, done bool, err error) {
	if err := e.Check(); err != nil {
		return 0, true, err
	}
	if !(c >= 0) || math.IsInf(c, 0) {
		return 0, true, fmt.Errorf("emitter: the water's capacity rate must be zero or more, got %g W/K", c)
	}
	for _, t := range []quantity.Celsius{supply, room} {
		if !(t >= -50 && t <= HighestWater) {
			return 0, true, &quantity.RangeError{Quantity: "temperature at the emitter", Value: float64(t), Low: -50, High: HighestWater, Unit: "°C"}
		}
	}
	excess = float64(supply - room)
	return excess, c == 0 || excess <= 0, nil
}

// still is the temperature of water that gives off nothing.
func (e Emitter) still(c float64, supply, room quantity.Celsius) quantity.Celsius {
	if c == 0 {
		return room
	}
	return supply
}

// leavingAt is supply − heat/c, kept from falling under the room by rounding.
func leavingAt(c, heat float64, supply, room quantity.Celsius) quantity.Celsius {
	return max(room, supply-quantity.Celsius(heat/c))
}

// along is ∫ dθ/θ^n from cool to cool + drop: how much emitter it takes per
// unit of k/c to cool the water by that drop. It is exact for small drops too.
func along(cool, drop, n float64) float64 {
	ln := math.Log1p(drop / cool)
	if n == 1 {
		return ln
	}
	return math.Pow(cool+drop, 1-n) * math.Expm1((n-1)*ln) / (n - 1)
}
