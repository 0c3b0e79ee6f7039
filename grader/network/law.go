package network

import (
	"math"

	"loopwright/grader/circulator"
	"loopwright/grader/fluid"
	"loopwright/grader/pipe"
	"loopwright/grader/quantity"
	"loopwright/grader/steady"
	"loopwright/grader/valve"
)

// The laws of the links of a system, as the solver of package steady asks for
// them. The solver balances mass: its flow is mass flow over the density ρ₀ of
// the reference, and its head is pressure over ρ₀ g. A law knows its own
// water, of density ρ, and converts:
//
//	Q = q ρ₀/ρ,   h₀ = h ρ/ρ₀
type law interface {
	HeadAndSlope(flow float64) (head, slope float64)
	// fill sets the water in the link.
	fill(water fluid.Properties, reference float64)
}

// resistanceLaw is any resistance in meters of whatever flows.
type resistanceLaw struct {
	Resistance
	expand float64 // ρ₀/ρ
}

func (l *resistanceLaw) fill(w fluid.Properties, reference float64) { l.expand = reference / w.Density }

func (l *resistanceLaw) HeadAndSlope(q float64) (head, slope float64) {
	h, s := l.Resistance.HeadAndSlope(q * l.expand)
	return h / l.expand, s
}

func (l *resistanceLaw) StartFlow() float64 {
	if p, ok := l.Resistance.(PowerLaw); ok && p.Coefficient > 0 {
		return math.Pow(startHead/p.Coefficient, 1/p.Exponent)
	}
	return 1e-4
}

// startHead is what a link is taken to lose at the start, m.
const startHead = 0.3

// pipeLaw is friction along a pipe and its fittings.
type pipeLaw struct {
	size   pipe.Size
	length float64
	k      float64 // loss coefficient of the fittings

	toReynolds, toHead, fittings, rough float64
	near                                float64 // 1/√f of the last question
}

func (l *pipeLaw) fill(w fluid.Properties, reference float64) {
	expand, nu := reference/w.Density, w.KinematicViscosity()
	d, a := l.size.Bore, l.size.Area()
	l.rough = l.size.Roughness / d
	l.toReynolds = expand * 4 / (math.Pi * d * nu)
	l.toHead = l.length * nu * nu / (2 * quantity.StandardGravity * d * d * d) / expand
	l.fittings = l.k * expand / (2 * quantity.StandardGravity * a * a)
}

func (l *pipeLaw) HeadAndSlope(q float64) (head, slope float64) {
	size := math.Abs(q)
	term, d := pipe.LossTermNear(size*l.toReynolds, l.rough, &l.near)
	head = l.toHead*term + l.fittings*q*q
	return math.Copysign(head, q), l.toHead*d*l.toReynolds + 2*l.fittings*size
}

// StartFlow is half a meter a second, a usual velocity.
func (l *pipeLaw) StartFlow() float64 { return l.size.FlowAtVelocity(0.5) }

// valveLaw is a coefficient: h = (Q/C)²/(ρ′ g), linear near no flow.
type valveLaw struct {
	coefficient valve.Coefficient
	k           float64 // m/(m³/s)²
}

func (l *valveLaw) fill(w fluid.Properties, reference float64) {
	l.k = reference / w.Density / (float64(l.coefficient*l.coefficient) * valve.ReferenceDensity * quantity.StandardGravity)
}

// quadratic is k q|q|, with a straight part within the flow that loses a
// thousandth of a millimeter, so that its slope does not vanish.
func quadratic(k, q float64) (head, slope float64) {
	const straight = 1e-6 // m
	size := math.Abs(q)
	if k*size*size < straight {
		slope = math.Sqrt(k * straight)
		return slope * q, slope
	}
	return k * q * size, 2 * k * size
}

func (l *valveLaw) HeadAndSlope(q float64) (head, slope float64) { return quadratic(l.k, q) }

func (l *valveLaw) StartFlow() float64 { return math.Sqrt(startHead / l.k) }

// seatLaw is a check valve: a coefficient forward, nothing backward. It opens
// at a head, and from there on the spring takes that head.
type seatLaw struct {
	valveLaw
	opens float64 // m
}

func (l *seatLaw) OpensAt() float64 { return l.opens }

func (l *seatLaw) HeadAndSlope(q float64) (head, slope float64) {
	if q < 0 {
		return steady.SeatedHead(l.opens, q)
	}
	h, s := l.valveLaw.HeadAndSlope(q)
	return l.opens + h, s
}

// bypassLaw is a differential-pressure valve: shut below its set point, open in
// proportion to the difference over its band, wide open beyond.
//
//	set ≤ Δp ≤ set + band:  Q = C (Δp − set)/band √(Δp ρ′/ρ)
type bypassLaw struct {
	valveLaw
	set, band float64 // m
}

func (l *bypassLaw) OpensAt() float64   { return l.set }
func (l *bypassLaw) StartFlow() float64 { return 0.1 * math.Sqrt((l.set+l.band)/l.k) }

func (l *bypassLaw) HeadAndSlope(q float64) (head, slope float64) {
	if q < 0 {
		return steady.SeatedHead(l.set, q)
	}
	open := math.Sqrt((l.set + l.band) / l.k) // flow where it is wide open
	if q >= open {
		return l.valveLaw.HeadAndSlope(q)
	}
	// q = (h − set)/band √(h/k) rises with h: Newton's method from a chord.
	h := l.set + l.band*q/open
	for range 50 {
		root := math.Sqrt(h / l.k)
		f := (h-l.set)/l.band*root - q
		slope = root/l.band + (h-l.set)/l.band/(2*l.k*root)
		step := f / slope
		h = max(h-step, l.set)
		if math.Abs(step) <= 1e-14*h {
			break
		}
	}
	return h, 1 / slope
}

// limiterLaw holds a flow over a range of differences: below it a spring-loaded
// opening stands wide, above it its narrowest one is left.
type limiterLaw struct {
	flow     float64 // m³/s, of the liquid
	from, to float64 // m
	expand   float64
}

// limiterRise is by how much the flow of a limiter rises over its range here.
// Real ones hold within 5 to 10 % (common practice); the solver needs a trace.
const limiterRise = 1e-4

func (l *limiterLaw) fill(w fluid.Properties, reference float64) { l.expand = reference / w.Density }

func (l *limiterLaw) HeadAndSlope(q float64) (head, slope float64) {
	size := math.Abs(q) * l.expand
	switch top := l.flow * (1 + limiterRise); {
	case size <= l.flow:
		head, slope = quadratic(l.from/(l.flow*l.flow), size)
	case size >= top:
		head, slope = quadratic(l.to/(top*top), size)
	default:
		slope = (l.to - l.from) / (l.flow * limiterRise)
		head = l.from + slope*(size-l.flow)
	}
	return math.Copysign(head/l.expand, q), slope
}

func (l *limiterLaw) StartFlow() float64 { return l.flow * 0.9 }

// airLaw is a lock of air on top of a link's own law: nothing moves until the
// difference lifts the water over it.
type airLaw struct {
	law
	lock float64 // m
}

func (l *airLaw) HeadAndSlope(q float64) (head, slope float64) {
	h, s := l.law.HeadAndSlope(q)
	const steep = 1e8
	lift := steep * q
	if math.Abs(lift) >= l.lock {
		return h + math.Copysign(l.lock, q), s
	}
	return h + lift, s + steep
}

// pluggedLaw is a link of whose flow capacity only a share is left: the same
// head drives that share of the flow.
type pluggedLaw struct {
	law
	left float64
}

func (l *pluggedLaw) HeadAndSlope(q float64) (head, slope float64) {
	h, s := l.law.HeadAndSlope(q / l.left)
	return h, s / l.left
}

// circulatorLaw is the head of a circulator, counted as a loss.
type circulatorLaw struct {
	curve    circulator.Curve
	speed    float64 // over the speed of the curve; 0 stands still
	mode     Mode
	set      float64 // m: the difference to hold
	least    float64 // lowest speed of a controlled one
	expand   float64
	standing float64 // m/(m³/s)²: as a resistance when it stands
}

func newCirculatorLaw(c Circulator) *circulatorLaw {
	l := &circulatorLaw{curve: c.Curve, speed: c.Speed, mode: c.Mode, least: c.Least}
	end, _ := c.Curve.Head(c.Curve.End())
	// The affinity laws carry H = H₀ − k Q² to speed zero as H = −k Q².
	l.standing = max(float64(c.Curve.Shutoff()-end), 0.1*float64(c.Curve.Shutoff())) / (c.Curve.End() * c.Curve.End())
	return l
}

func (l *circulatorLaw) fill(w fluid.Properties, reference float64) { l.expand = reference / w.Density }

// at is head and slope of the curve at a speed.
func (l *circulatorLaw) at(speed, q float64) (head, slope float64) {
	if speed == 0 {
		h, s := quadratic(l.standing, q)
		return -h, -s
	}
	h, s := l.curve.SourceHead(q / speed)
	return speed * speed * h, speed * s
}

// controlled says which modes keep a head by changing the speed.
func (l *circulatorLaw) controlled() bool {
	return l.mode == ConstantDifference || l.mode == ProportionalDifference
}

func (l *circulatorLaw) HeadAndSlope(flow float64) (head, slope float64) {
	q := flow * l.expand
	head, slope = l.at(l.speed, q)
	if l.controlled() && l.speed > 0 && head > l.set {
		head, slope = l.set, 0
		if h, s := l.at(min(l.least, l.speed), q); h > head {
			head, slope = h, s
		}
	}
	return -head / l.expand, -slope
}

func (l *circulatorLaw) StartFlow() float64 {
	if l.speed == 0 {
		return 0
	}
	return l.speed * l.curve.End() / 2
}

// speedAt is the speed at which a controlled circulator gives a head at a flow
// (of its own water), by bisection between its limits.
func (l *circulatorLaw) speedAt(q, head float64) float64 {
	if !l.controlled() || l.speed == 0 {
		return l.speed
	}
	low, high := min(l.least, l.speed), l.speed
	if h, _ := l.at(high, q); h <= head {
		return high
	}
	for range 60 {
		mid := (low + high) / 2
		if h, _ := l.at(mid, q); h < head {
			low = mid
		} else {
			high = mid
		}
	}
	return (low + high) / 2
}

// checkedCirculator is a circulator with a check valve in its body.
type checkedCirculator struct{ circulatorLaw }

// OpensAt is where its own head at no flow meets the difference against it.
func (l *checkedCirculator) OpensAt() float64 {
	h, _ := l.circulatorLaw.HeadAndSlope(0)
	return h
}

func (l *checkedCirculator) HeadAndSlope(q float64) (head, slope float64) {
	if q < 0 {
		return steady.SeatedHead(l.OpensAt(), q)
	}
	return l.circulatorLaw.HeadAndSlope(q)
}
