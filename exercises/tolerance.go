package exercises

// The tolerances and their reasons. An instructor should be able to read one
// aloud to a learner who asks why an answer was taken or refused. Where no
// standard is named the reason is common practice.
var (
	// ToleranceExact is for conversions, sums and definitions.
	ToleranceExact = Tolerance{Rel: 0.01, Why: "Nothing is estimated here: 1 % forgives rounding and nothing else."}
	// ToleranceHeat is for heat carried by water, by hand.
	ToleranceHeat = Tolerance{Rel: 0.03, Why: "The factor for water itself moves by about 3 % between cold and hot, so the rounded factor and the full one must both pass."}
	// ToleranceReading is for a temperature in °F or °C.
	ToleranceReading = Tolerance{Abs: 1, Why: "A thermometer on a pipe is read to about a degree."}
	// ToleranceTable is for one table or one exponent.
	ToleranceTable = Tolerance{Rel: 0.05, Why: "A value read off one table or raised to one rounded exponent; field meters for flow and temperature are no closer than about 5 % together."}
	// ToleranceFriction is for friction, head and valve settings.
	ToleranceFriction = Tolerance{Rel: 0.10, Why: "Published friction charts and fitting lengths differ from each other by about 10 %, and balancing practice accepts flows within 10 % of design."}
	// ToleranceVelocity is for velocity from flow and bore.
	ToleranceVelocity = Tolerance{Rel: 0.03, Why: "Flow and bore are given exactly; 3 % covers a rounded constant and a bore rounded to two figures."}
	// ToleranceGauge is for a gauge reading in psi.
	ToleranceGauge = Tolerance{Abs: 0.5, Why: "Half a division of an ordinary pressure gauge."}
	// ToleranceTape is for lengths from outside dimensions.
	ToleranceTape = Tolerance{Rel: 0.02, Why: "Lengths are added, not estimated, here; 2 % forgives a rounded sum."}
)
