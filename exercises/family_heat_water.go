package exercises

import (
	"errors"
	"math"

	"loopwright/grader/fluid"
	"loopwright/grader/quantity"
)

// ToleranceFactor is for the factor of water worked from a table.
var ToleranceFactor = Tolerance{Rel: 0.005, Why: "Density and specific heat stand in the table with four figures. Half a percent forgives rounding and still tells hot water from cold, which differ by 2 to 3 %."}

// ToleranceFactorError is for how far the rounded factor is off.
var ToleranceFactorError = Tolerance{Abs: 0.5, Why: "The error is a small difference of two larger numbers: half a percent in the factor is half a point in the error."}

const sourceWaterTable = "IAPWS R7-97(2012), liquid water, rounded as in a steam table"

func densityUnit(d *Draw) *quantity.Unit {
	return Native(d, quantity.PoundPerCubicFoot, quantity.KilogramPerCubicMeter)
}

func specificHeatUnit(d *Draw) *quantity.Unit {
	return Native(d, quantity.BTUPerPoundDegree, quantity.KilojoulePerKilogramKelvin)
}

// waterTable is the row of a steam table at a temperature in the learner's
// unit: density to four figures and specific heat to three decimals.
func waterTable(d *Draw, s *Sheet, reading float64) (density, specificHeat float64) {
	w, err := fluid.Water(quantity.Celsius(readingUnit(d).ToSI(reading)))
	if err != nil {
		s.Reject(err.Error())
		return 1, 1
	}
	density = densityUnit(d).FromSI(w.Density)
	if d.US() {
		density = math.Round(density*100) / 100
	} else {
		density = math.Round(density*10) / 10
	}
	return density, math.Round(specificHeatUnit(d).FromSI(w.SpecificHeat)*1000) / 1000
}

// coldFill is the temperature at which the rounded factors hold.
func coldFill(d *Draw) float64 { return Native(d, 60.0, 15) }

func degrees(d *Draw, reading float64) string { return quantity.Of(reading, readingUnit(d)).Exact() }

func buildWhere500Stops(d *Draw, s *Sheet) {
	_, factorUnit := heatFactor(d)
	rounded := Native(d, "500", "4.19")
	place := One(d, "a row house", "a guest house", "a village library", "a small clinic", "a bakery with an apartment above")
	var at, supply, dT float64 // at is where the right density stands
	switch d.Level {
	case 1:
		at = Native(d, d.Between(150, 200, 5), d.Between(65, 90, 1))
		s.Statement("The system of " + place + " runs at a mean water temperature of {T_m}. A table gives the density and the specific heat of water there. What does the factor " + rounded + " become?")
		s.Given("T_m", "mean water temperature", at, readingUnit(d))
	case 2:
		supply, dT = Native(d, d.Between(170, 200, 5), d.Between(75, 90, 1)), Native(d, One(d, 10.0, 20, 30), One(d, 10.0, 14, 16, 20))
		at = supply - dT/2
		s.Statement("The system of " + place + " leaves the boiler at {T_s} and returns at {T_r}. Take the water table at the mean temperature. What does the factor " + rounded + " become, and by how many percent does the rounded one overstate the heat?")
	default:
		supply, dT = Native(d, d.Between(180, 200, 5), d.Between(80, 95, 1)), Native(d, One(d, 30.0, 40), One(d, 15.0, 20))
		meter := One(d, "supply", "return")
		at = supply
		if meter == "return" {
			at = supply - dT
		}
		s.Statement("A flow meter sits in the " + meter + " pipe of " + place + ". Water leaves at {T_s} and returns at {T_r}. A report has worked the heat with the factor " + rounded + ". Which factor fits what this meter counts, and by how many percent is the reported heat too high?")
		defer chooseRow(d, s, meter)
	}
	if d.Level > 1 {
		s.Given("T_s", "supply temperature", supply, readingUnit(d))
		s.Given("T_r", "return temperature", supply-dT, readingUnit(d))
	}

	rho, c := waterTable(d, s, at)
	row := func(name string, reading, density float64) {
		s.Looked(name, "density at "+degrees(d, reading), density, densityUnit(d), sourceWaterTable)
	}
	if d.Level > 1 {
		// The rows beside the right one, coldest first, as in a table.
		cold, _ := waterTable(d, s, coldFill(d))
		row("rho_c", coldFill(d), cold)
		other := supply
		if d.Level == 3 {
			other = 2*supply - dT - at
		}
		beside, _ := waterTable(d, s, other)
		if other < at {
			row("rho_o", other, beside)
			row("rho", at, rho)
		} else {
			row("rho", at, rho)
			row("rho_o", other, beside)
		}
		// The heat comes from water that cools from supply to return: its
		// specific heat is the one at the mean.
		_, c = waterTable(d, s, supply-dT/2)
		s.Looked("c", "specific heat at the mean of "+degrees(d, supply-dT/2), c, specificHeatUnit(d), sourceWaterTable)
	} else {
		row("rho", at, rho)
		s.Looked("c", "specific heat at "+degrees(d, at), c, specificHeatUnit(d), sourceWaterTable)
	}
	s.Looked("k_r", "rounded factor", Native(d, 500, 4.19), factorUnit, "common practice")

	k := s.Step("k", "Factor of this water", Native(d, "60 * rho * c / 7.48", "rho * c / 1000"), factorUnit, Native(d,
		"A cubic foot holds 7.48 gal and an hour has 60 minutes, so this is the heat of a gpm for each degree.",
		"A cubic meter holds 1000 L, so this is the heat of one liter for each kelvin."))
	s.Step("e", "Overstatement by the rounded factor", Native(d, "100 * (k_r * 7.48 / (60 * rho * c) - 1)", "100 * (k_r * 1000 / (rho * c) - 1)"), quantity.Percent, "The rounded factor is the one of cold water; the error is counted from what the water really carries.")

	s.Ask("factor", "Factor for this water", "k", ToleranceFactor)
	if d.Level == 1 {
		chooseDirection(d, s)
	} else {
		s.Ask("error", "Overstatement by the rounded factor, in percent", "e", ToleranceFactorError)
		s.Slip("error-from-one", "e", Native(d, "100 * k_r * 7.48 / (60 * rho * c)", "100 * k_r * 1000 / (rho * c)"), "That is the whole of the rounded factor in percent of the true one. The overstatement is what lies above 100 %.")
		s.Slip("error-upside-down", "e", Native(d, "100 * (60 * rho * c / (k_r * 7.48) - 1)", "100 * (rho * c / (k_r * 1000) - 1)"), "That is how far the true factor lies below the rounded one. The question counts the other way: rounded over true, less one.")
		s.MaySlip("factor-cold-row", "rho", "rho_c", "That is the density of the cold fill. Take the row of the water that is running.")
	}
	s.MaySlip("factor-cold-water", "k", "k_r", "That is the rounded factor of cold water. Work it from the density and the specific heat of the hot water.")
	if d.US() {
		s.Slip("factor-minutes-lost", "k", "rho * c / 7.48", "Heat is counted by the hour and gpm by the minute: multiply by 60.")
		s.Slip("factor-gallon-lost", "k", "60 * rho * c", "The table gives pounds per cubic foot: divide by 7.48 gal per cubic foot.")
		s.MaySlip("factor-upside-down", "k", "60 * 7.48 / (rho * c)", "Heavier water carries more heat: density and specific heat multiply.")
	} else {
		s.Slip("factor-liter-lost", "k", "rho * c", "The table gives kilograms per cubic meter: divide by 1000 for a liter.")
		s.MaySlip("factor-density-only", "k", "rho / 1000", "You took the mass only; multiply by the specific heat too.")
		s.MaySlip("factor-specific-heat-only", "k", "c", "You took the specific heat only; a liter of hot water weighs less than a kilogram.")
	}

	mean := at
	if d.Level > 1 {
		mean = supply - dT/2
	}
	here, errHere := fluid.Water(quantity.Celsius(readingUnit(d).ToSI(at)))
	along, errAlong := fluid.Water(quantity.Celsius(readingUnit(d).ToSI(mean)))
	if err := errors.Join(errHere, errAlong); err != nil {
		s.Reject(err.Error())
		return
	}
	s.Compare("factor-500", "the factor "+rounded, s.Quantity("k_r"), quantity.FromSI(here.Density*along.SpecificHeat, factorUnit),
		"The rounded factor is the one of cold water. At "+degrees(d, at)+" a "+Native(d, "gallon", "liter")+" weighs less, so it carries "+quantity.Of(k, factorUnit).Text()+".")
	s.Source("Density and specific heat of water: IAPWS R7-97(2012); 7.48 gal per cubic foot from the definition of the US gallon, NIST SP 811 (2008) appendix B; the rounded factors are common practice")
	s.Caution(cautionHot)
}

// chooseRow asks which density belongs to a flow meter's count.
func chooseRow(d *Draw, s *Sheet, meter string) {
	other := map[string]string{"supply": "return", "return": "supply"}[meter]
	s.Choose("row", "Which density belongs in the factor for this meter's flow?", "at-meter", "", "Ask which water turns the meter.", shuffled(d, []Pick{
		{ID: "at-meter", Text: "The one at the " + meter + " temperature, where the meter sits."},
		{ID: "at-other", Text: "The one at the " + other + " temperature.", Slip: "density-at-other-pipe",
			Say: "The meter counts volume where it sits, in the " + meter + ". The mass in that volume goes with the density there."},
		{ID: "at-cold-fill", Text: "The one at the temperature of the cold fill.", Slip: "factor-cold-row",
			Say: "The meter counts the hot water that passes it. What the water weighed when it was filled in does not matter any more."},
	})...)
}

// chooseDirection asks which way the rounded factor errs in hot water.
func chooseDirection(d *Draw, s *Sheet) {
	s.Choose("direction", "Which way does the rounded factor err in this system?", "too-much", "e",
		"Compare the factor that you worked with the rounded one.", shuffled(d, []Pick{
			{ID: "too-much", Text: "It says more heat than the water carries."},
			{ID: "too-little", Text: "It says less heat than the water carries.", Slip: "factor-direction",
				Say: "Hot water is lighter. A gallon or liter of it holds less mass, and mass carries the heat."},
			{ID: "none", Text: "It does not err: the factor belongs to water at any temperature.", Slip: "factor-fixed",
				Say: "The rounded factor belongs to cold water. Density falls as water warms, and the factor with it."},
		})...)
}
