package exercises

import (
	"fmt"

	"loopwright/grader/quantity"
	"loopwright/grader/valve"
)

var controlFamilies = []*Family{valveAuthority, bypassSetting, closingValvePressure, circulatorsCombined, swappedCirculator, speedModeSavings}

var valveAuthority = &Family{
	ID: "valve-authority", Title: "The authority of a control valve", Skills: []string{"valve-authority", "cv-flow"}, Lesson: LessonControl,
	Levels: [Levels]string{
		"Authority from two drops, and how to judge it.",
		"The drop for a wanted authority, the coefficient, and a valve from a list.",
		"Partly open: what an equal-percentage and a linear valve let through.",
	},
	Build: buildAuthority,
}

const (
	sourceAuthority      = "Authority N = drop of the open valve / (that drop + drop of the circuit it controls), 0.5 and more good, 0.25 to 0.5 fair: a public engineering reference page on valve authority; common practice"
	sourceCharacteristic = "Equal percentage R^(h − 1) and linear 1/R + (1 − 1/R)·h of the open coefficient: IEC 60534-2-4 (from memory); flow in the circuit by the square law"
	sourcePreferred      = "Sizes of the demo valve: demo values after the preferred numbers of ISO 3"
	sayAuthorityRest     = "That is valve over circuit. Authority is the valve's share of both together."
)

var toleranceAuthority = Tolerance{Rel: 0.03, Why: "The drops are given exactly; 3 % covers rounding on the way. Measured drops are no closer than about 5 %."}

func buildAuthority(d *Draw, s *Sheet) {
	switch d.Level {
	case 1:
		buildAuthorityOfValve(d, s)
	case 2:
		buildValveForAuthority(d, s)
	default:
		buildPartlyOpen(d, s)
	}
	s.Source(sourceAuthority)
	s.Caution(cautionHot)
}

func controlledCoil(d *Draw) string {
	return One(d, "the air heater of a workshop", "the heating coil of a parish hall", "a heat exchanger in a guest house", "the unit heaters of a greenhouse")
}

func buildAuthorityOfValve(d *Draw, s *Sheet) {
	press := pressureUnit(d)
	v := Native(d, d.Between(0.5, 5, 0.1), d.Between(3, 35, 1))
	rest := Native(d, d.Between(1, 8, 0.2), d.Between(6, 50, 1))
	s.Given("p_v", "drop of the valve, fully open, at design flow", v, press)
	s.Given("p_r", "drop of the circuit that it controls, without it", rest, press)
	s.Given("p_p", "what the circulator gives", toFigures((v+rest)*d.Between(1.4, 2.2, 0.05), 2), press)
	s.Statement("A two-way control valve governs " + controlledCoil(d) + ". Fully open, at design flow, it takes {p_v}; the coil with its pipes, as far as the point where the difference is held, takes {p_r}. The circulator gives {p_p}, the rest of it is lost in mains that other circuits share. What authority does the valve have, and how do you judge it?")
	n := s.Step("N", "Authority", "p_v / (p_v + p_r)", quantity.One, "When the valve shuts, the whole held difference stands across it. Authority is the share of that which it has when open.")
	for _, bound := range []float64{valve.FairAuthority, valve.GoodAuthority} {
		if n > 0.94*bound && n < 1.06*bound {
			s.Reject("near a bound of the judgment")
			return
		}
	}
	s.Ask("authority", "Authority of the valve", "N", toleranceAuthority)
	right := "poor"
	if n > valve.GoodAuthority {
		right = "good"
	} else if n > valve.FairAuthority {
		right = "fair"
	}
	good, fair := fmt.Sprint(valve.GoodAuthority), fmt.Sprint(valve.FairAuthority)
	say := map[string]string{
		"good": "With {N} the valve has at least half of the difference: custom calls " + good + " and more good.",
		"fair": "With {N} it lies between " + fair + " and " + good + ": custom calls that fair.",
		"poor": "With {N} the valve has less than a quarter: the coil decides, and the valve acts only in the last bit of its travel.",
	}
	picks := []Pick{
		{ID: "good", Text: "Good, " + good + " or more: flow follows the lift much as the valve was made to."},
		{ID: "fair", Text: "Fair, " + fair + " to " + good + ": it controls, with its curve bent."},
		{ID: "poor", Text: "Poor, less than " + fair + ": little happens until it is nearly shut."},
	}
	for i := range picks {
		if picks[i].ID != right {
			picks[i].Slip, picks[i].Say = "authority-misjudged", say[right]
		}
	}
	s.Choose("judge", "How do you judge it?", right, "N", "Compare the valve's share with a half and with a quarter.", picks...)
	s.Slip("authority-over-rest", "N", "p_v / p_r", sayAuthorityRest)
	s.MaySlip("authority-inverse", "N", "p_r / (p_v + p_r)", "That is the circuit's share. Authority is the valve's.")
	s.Slip("authority-pump-head", "N", "p_v / p_p", "Not the circulator's whole difference: what counts is held across valve and circuit, {p_v} and {p_r} together.")
	s.MaySlip("authority-turned-over", "N", "p_r / p_v", "Turned over: the valve's drop goes on top, both drops together below.")
}

// preferredSizes are the coefficients of the demo control valve.
var preferredSizes = []float64{0.63, 1, 1.6, 2.5, 4, 6.3, 10, 16, 25, 40}

func buildValveForAuthority(d *Draw, s *Sheet) {
	press, unit, flow := pressureUnit(d), coefficientUnit(d), flowUnit(d)
	s.Given("f", "design flow", Native(d, d.Between(3, 24, 0.5), d.Between(0.2, 1.5, 0.02)), flow)
	s.Given("p_r", "drop of the circuit that the valve controls", Native(d, d.Between(1, 5, 0.1), d.Between(6, 35, 1)), press)
	s.Given("N", "authority wanted, at least", One(d, 0.3, 0.35, 0.4, 0.45, 0.5, 0.55), quantity.One)
	s.Step("p_n", "Drop of the valve for that authority", "N / (1 - N) * p_r", press, "The valve is to have the share N of both together, so the circuit has the share 1 − N.")
	if d.US() {
		s.Step("C", "Coefficient for that drop", "f / sqrt(p_n)", unit, "Cv is the flow in gpm at 1 psi; flow goes with the root of the drop.")
	} else {
		s.Step("f_h", "Flow per hour", "3.6 * f", quantity.CubicMeterPerHour, "Kv counts cubic meters per hour; one L/s is 3.6 of them.")
		s.Step("C", "Coefficient for that drop", "f_h / sqrt(p_n / 100)", unit, "Kv is the flow in m³/h at 1 bar, which is 100 kPa; flow goes with the root of the drop.")
		s.Source(sourcePerHour)
	}
	c, _ := s.Value("C")
	right := -1
	for i, size := range preferredSizes {
		if size <= c {
			right = i
		}
	}
	if right < 2 || right+2 >= len(preferredSizes) || preferredSizes[right] > 0.95*c || preferredSizes[right+1] < 1.06*c {
		s.Reject("the coefficient is at an end of the list or on one of its sizes")
		return
	}
	first := right - d.Int(1, 2)
	picks := make([]Pick, 4)
	list := ""
	for i := range picks {
		size := first + i
		name := fmt.Sprintf("V_%d", i+1)
		s.Given(name, "size "+inWords(i+1)+" of the valve", preferredSizes[size], unit)
		list += ", {" + name + "}"
		picks[i] = Pick{ID: fmt.Sprintf("size-%d", i+1), Text: "{" + name + "}"}
		switch {
		case size == right+1:
			picks[i].Slip, picks[i].Say = "valve-rounded-up", "Rounded up, as for a pipe: open, that size takes less than the drop wanted, and its authority falls below {N}."
		case size > right:
			picks[i].Slip, picks[i].Say = "valve-oversized", "That large, the valve takes hardly anything open and does its work in the last bit of its travel."
		case size == right-1:
			picks[i].Score, picks[i].Say = 0.6, "Its authority is more than wanted, but it takes over twice the drop of the next size, and the circulator has to make it."
		case size < right-1:
			picks[i].Slip, picks[i].Say = "valve-far-too-small", "That size chokes the circuit: it takes several times the drop wanted."
		}
	}
	s.Statement("A two-way control valve for " + controlledCoil(d) + " is to pass {f}. The circuit that it controls takes {p_r} at that flow, and the valve is to have an authority of at least {N}. The demo valve comes with " + coefficientName(d) + " in these sizes: " + list[2:] + ". What drop does the valve need, what coefficient is that, which size do you take, and what authority does it really have?")
	s.Step("p_v", "Drop of the size taken", Native(d, fmt.Sprintf("pow(f / V_%d, 2)", right-first+1), fmt.Sprintf("100 * pow(f_h / V_%d, 2)", right-first+1)), press, "The real size is a little smaller than allowed, so it takes a little more.")
	s.Step("N_v", "Authority of the size taken", "p_v / (p_v + p_r)", quantity.One, "The valve's share of both together, with the drop that it really makes.")
	s.Ask("drop", "Drop of the valve for the authority wanted", "p_n", toleranceAuthority)
	s.Ask("coefficient", "Most "+coefficientName(d)+" that it may have", "C", ToleranceTable)
	s.Choose("size", "Which size do you take?", picks[right-first].ID, "C", "A larger coefficient takes less: the authority asks for the largest size that does not exceed the coefficient found.", picks...)
	s.Ask("authority", "Authority of that size", "N_v", ToleranceTable)
	s.Slip("authority-of-rest", "p_n", "N * p_r", "The share is of both together, not of the circuit alone: divide by 1 − N as well.")
	s.MaySlip("authority-turned-over", "p_n", "(1 - N) / N * p_r", "Turned over: the valve has the share N, the circuit 1 − N.")
	s.MaySlip("authority-over-rest", "N_v", "p_v / p_r", sayAuthorityRest)
	s.MaySlip("authority-assumed", "N_v", "N", "That was wanted. The size taken is smaller and takes more: work out its own drop.")
	if d.US() {
		s.MaySlip("cv-no-root", "C", "f / p_n", "Divide by the root of the drop.")
	} else {
		s.MaySlip("kv-in-kpa", "C", "f_h / sqrt(p_n)", "Kv is defined for bar: divide the kilopascals by 100 before taking the root.")
		s.MaySlip("flow-not-per-hour", "C", "f / sqrt(p_n / 100)", "Kv goes with cubic meters per hour: multiply L/s by 3.6 first.")
	}
	s.Source(sourceCoefficient)
	s.Source(sourcePreferred)
}

func buildPartlyOpen(d *Draw, s *Sheet) {
	press := pressureUnit(d)
	s.Given("p_v", "drop of the valve, fully open, at design flow", Native(d, d.Between(0.5, 4, 0.1), d.Between(3, 28, 1)), press)
	s.Given("p_r", "drop of the circuit that it controls", Native(d, d.Between(1, 6, 0.2), d.Between(7, 42, 1)), press)
	s.Given("h", "lift", One(d, 40.0, 50, 50, 60), quantity.Percent)
	s.Given("R", "rangeability", One(d, 30.0, 40, 50), quantity.One)
	s.Statement("The difference across " + controlledCoil(d) + " and its control valve is held. At design flow, fully open, the valve takes {p_v} and the circuit {p_r}. Two plugs can be put in, both with a rangeability of R = {R}: an equal-percentage one, whose coefficient is R^(h − 1) of the open one at lift h, and a linear one, with 1/R + (1 − 1/R)·h. At {h} of the lift, what share of the design flow passes with each? And what changes with a valve of another size?")
	n := s.Step("N", "Authority", "p_v / (p_v + p_r)", quantity.One, "The valve's share of the difference that is held across both.")
	s.Step("y_e", "Equal percentage: share of the open coefficient", "pow(R, h / 100 - 1)", quantity.One, "Each step of lift opens it by the same factor.")
	s.Step("x_e", "Equal percentage: share of the design flow", "100 / sqrt(1 - N + N / pow(y_e, 2))", quantity.Percent, "Less coefficient takes more of the difference from the circuit; valve and circuit in a row share it by the square law.")
	s.Step("y_l", "Linear: share of the open coefficient", "1 / R + (1 - 1 / R) * h / 100", quantity.One, "Each step of lift opens it by the same amount.")
	s.Step("x_l", "Linear: share of the design flow", "100 / sqrt(1 - N + N / pow(y_l, 2))", quantity.Percent, "The same sharing with the other coefficient.")
	if n < 0.1 || n > 0.7 {
		s.Reject("an odd authority")
		return
	}
	s.Ask("equal", "Share of the design flow with the equal-percentage plug", "x_e", ToleranceTable)
	s.Ask("linear", "Share of the design flow with the linear plug", "x_l", ToleranceTable)
	askOtherSize(d, s)
	s.Slip("inherent-for-installed", "x_e", "100 * y_e", "That is the share of the coefficient. With less of it the valve takes more of the difference, so more passes than that.")
	s.MaySlip("inherent-for-installed", "x_l", "100 * y_l", "That is the share of the coefficient. With less of it the valve takes more of the difference, so more passes than that.")
	s.MaySlip("share-no-root", "x_e", "100 / (1 - N + N / pow(y_e, 2))", "The drops share by the square of flow: take the root.")
	s.MaySlip("coefficient-not-squared", "x_e", "100 / sqrt(1 - N + N / y_e)", "A drop goes with the square of the coefficient.")
	s.MaySlip("authority-over-rest", "N", "p_v / p_r", sayAuthorityRest)
	s.Source(sourceCharacteristic)
}

// askOtherSize asks what a larger or a smaller valve does to the share that
// passes partly open.
func askOtherSize(d *Draw, s *Sheet) {
	factor, turned, right, wrong, why, not := "twice", "lowered", "more", "less",
		"A larger one: its authority is smaller, so closing it this far takes less away.",
		"A smaller one: the larger valve takes less of the difference."
	say := "Because it takes less, the circuit decides longer: the flow falls only near the end of the travel."
	if One(d, true, false) {
		factor, turned, right, wrong, why, not = "half", "raised", "less", "more",
			"A smaller one: its authority is larger, so closing it this far takes more away.",
			"A larger one: the smaller valve takes more of the difference."
		say = "Because it takes more, it decides more: closing it this far cuts the flow further."
	}
	s.Choose("other", "Another valve has "+factor+" the coefficient and the same sort of plug. The held difference is "+turned+" until the design flow passes again at full lift. What share passes at this lift?", right, "N", "Find what becomes of the authority, and what the share does with it.", shuffled(d, []Pick{
		{ID: right, Text: why},
		{ID: "same", Text: "The same: the plug's curve says what passes at this lift.", Slip: "inherent-for-installed", Say: "The plug's curve holds only where the valve has the whole difference. In a circuit the share also hangs on the authority."},
		{ID: wrong, Text: not, Slip: "authority-effect-reversed", Say: say},
	})...)
}
