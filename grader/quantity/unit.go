package quantity

import (
	"math"
	"strings"
)

// Kind says what sort of quantity a number is. Two kinds can share a unit
// symbol ("ft" is a length and a head); the place where a number is read says
// which kind is meant.
type Kind uint8

// The kinds of quantity that the trade works with.
const (
	Number Kind = iota
	Flow
	Power
	Length
	Velocity
	Head
	Pressure
	Temperature
	TemperatureDifference
	HeadRate
	PressureRate
	FlowCoefficient
	HeatPerLength
	HeatPerFlowDegree
	Density
	SpecificHeat
	Volume
	Area
	Rotation
	Duration
	HeatPerDegree
	Energy
	kindCount
)

type kindInfo struct {
	slug    string // its name in files and JSON
	name    string // what a person calls it, with its article
	siUnit  string // ASCII name of the unit that Quantity.SI is in
	example string // what to type, US then SI
}

var kinds = [kindCount]kindInfo{
	Number:                {"number", "a plain number", "1", "0.35, 35 %"},
	Flow:                  {"flow", "a flow", "m3/s", "45 gpm, 2.84 L/s"},
	Power:                 {"power", "a heat rate or power", "W", "60,000 BTU/h, 60 MBH, 17.5 kW"},
	Length:                {"length", "a length", "m", "120 ft, 1 1/4 in, 36 m, 28 mm"},
	Velocity:              {"velocity", "a velocity", "m/s", "4 ft/s, 1.2 m/s"},
	Head:                  {"head", "a head", "m", "18 ft, 5.5 m"},
	Pressure:              {"pressure", "a pressure", "Pa", "7.8 psi, 54 kPa, 0.54 bar"},
	Temperature:           {"temperature", "a temperature", "degC", "180 F, 82 C"},
	TemperatureDifference: {"temperature_difference", "a temperature difference", "K", "20 F, 11 K"},
	HeadRate:              {"head_rate", "a head loss per length", "m/m", "4 ft/100ft, 40 mm/m"},
	PressureRate:          {"pressure_rate", "a pressure loss per length", "Pa/m", "390 Pa/m"},
	FlowCoefficient:       {"flow_coefficient", "a valve coefficient", "m3/(s.Pa^0.5)", "4.2 Cv, 3.6 Kv"},
	HeatPerLength:         {"heat_per_length", "a heat output per length", "W/m", "580 BTU/h.ft, 560 W/m"},
	HeatPerFlowDegree:     {"heat_per_flow_degree", "a heat rate per flow and degree", "W.s/(m3.K)", "500 BTU/h per gpm F, 4.19 kW per L/s K"},
	Density:               {"density", "a density", "kg/m3", "61.4 lb/ft3, 983 kg/m3"},
	SpecificHeat:          {"specific_heat", "a specific heat", "J/(kg.K)", "1.00 BTU/lb.F, 4.19 kJ/kg.K"},
	Volume:                {"volume", "a volume", "m3", "25 gal, 95 L"},
	Area:                  {"area", "an area", "m2", "120 ft2, 11 m2"},
	Rotation:              {"rotation", "a speed of rotation", "rev/s", "1750 rpm"},
	Duration:              {"duration", "a time", "s", "10 min, 2 h"},
	HeatPerDegree:         {"heat_per_degree", "a heat rate per degree", "W/K", "350 BTU/h.F, 180 W/K"},
	Energy:                {"energy", "an energy", "J", "1250 kWh, 8 therms, 290 MJ"},
}

// String names the kind as a person would, with its article: "a flow".
func (k Kind) String() string { return kinds[k].name }

// Slug is the kind's name in files and JSON: "temperature_difference".
func (k Kind) Slug() string { return kinds[k].slug }

// KindNamed finds a kind by its slug.
func KindNamed(slug string) (Kind, bool) {
	for k := range kindCount {
		if kinds[k].slug == slug {
			return k, true
		}
	}
	return 0, false
}

// SIUnit is the ASCII name of the unit in which Quantity.SI holds this kind.
func (k Kind) SIUnit() string { return kinds[k].siUnit }

// Example shows what can be typed for this kind.
func (k Kind) Example() string { return kinds[k].example }

// Unit is one way of writing a kind: SI = (number + Offset) × Factor.
type Unit struct {
	Symbol  string // as printed, and one of the ways to type it
	Kind    Kind
	Factor  float64
	Offset  float64
	aliases []string // further ways to type it, folded by fold
}

// ToSI converts a number written in this unit.
func (u *Unit) ToSI(number float64) float64 { return (number + u.Offset) * u.Factor }

// FromSI is the number to write in this unit.
func (u *Unit) FromSI(si float64) float64 { return si/u.Factor - u.Offset }

// Exact definitions. Sources: NIST SP 811 (2008) appendix B for inch, pound,
// US gallon, horsepower, BTU (International Table) and degree Fahrenheit.
const (
	inch               = 0.0254
	foot               = 12 * inch
	poundMass          = 0.45359237
	gallonUS           = 231 * inch * inch * inch
	poundPerSquareInch = poundMass * StandardGravity / (inch * inch)
	// BTU is the International Table British thermal unit in joules.
	BTU        = 1055.05585262
	hour       = 3600.0
	btuPerHour = BTU / hour
	gpm        = gallonUS / 60
	// kilowattHour is 1000 W for one hour. Source: NIST SP 811 appendix B.8
	// gives 3.6 MJ, exact.
	kilowattHour = 1000 * hour
	// therm is 100,000 BTU (International Table), as in most of the trade's
	// arithmetic. Source: NIST SP 811 appendix B.8 gives 105.506 MJ for this
	// one, the therm (EC); the legal therm (U.S.) is 0.02 % smaller.
	therm = 100_000 * BTU
	// horsepower is 550 ft·lbf/s.
	horsepower = 550 * foot * poundMass * StandardGravity
	// boilerHorsepower is 33 475 BTU/h. Source: NIST SP 811 appendix B.8
	// gives 9809.5 W.
	boilerHorsepower = 9809.5
)

// The units. A page prints Symbol; a person may type any alias.
var (
	One     = &Unit{"", Number, 1, 0, nil}
	Percent = &Unit{"%", Number, 0.01, 0, []string{"percent", "pct"}}

	GallonPerMinute     = &Unit{"gpm", Flow, gpm, 0, []string{"gal/min", "usgpm", "gallonsperminute", "gallons/min", "gallons/minute"}}
	LiterPerSecond      = &Unit{"L/s", Flow, 1e-3, 0, []string{"lps", "liter/s", "litre/s", "l/sec"}}
	LiterPerMinute      = &Unit{"L/min", Flow, 1e-3 / 60, 0, []string{"lpm"}}
	LiterPerHour        = &Unit{"L/h", Flow, 1e-3 / hour, 0, []string{"lph", "l/hr"}}
	CubicMeterPerHour   = &Unit{"m³/h", Flow, 1 / hour, 0, []string{"m3/h", "m^3/h", "m3/hr", "cmh"}}
	GallonPerHour       = &Unit{"gph", Flow, gallonUS / hour, 0, []string{"gal/h", "gal/hr"}}
	CubicMeterPerSecond = &Unit{"m³/s", Flow, 1, 0, []string{"m3/s", "m^3/s"}}

	BTUPerHour         = &Unit{"BTU/h", Power, btuPerHour, 0, []string{"btuh", "btu/hr", "btu/hour", "btus/h", "btus/hr", "btuperhour"}}
	ThousandBTUPerHour = &Unit{"MBH", Power, 1000 * btuPerHour, 0, []string{"mbtu/h", "mbtuh", "kbtu/h", "kbtuh", "kbtu/hr", "mbtu/hr"}}
	Watt               = &Unit{"W", Power, 1, 0, []string{"watt", "watts"}}
	Kilowatt           = &Unit{"kW", Power, 1e3, 0, []string{"kilowatt", "kilowatts"}}
	Horsepower         = &Unit{"hp", Power, horsepower, 0, []string{"horsepower"}}
	BoilerHorsepower   = &Unit{"boiler hp", Power, boilerHorsepower, 0, []string{"bohp", "boilerhp", "boilerhorsepower"}}

	Foot       = &Unit{"ft", Length, foot, 0, []string{"feet", "foot", "'", "′"}}
	Inch       = &Unit{"in", Length, inch, 0, []string{"inch", "inches", "\"", "″", "''"}}
	Meter      = &Unit{"m", Length, 1, 0, []string{"meter", "meters", "metre", "metres"}}
	Millimeter = &Unit{"mm", Length, 1e-3, 0, []string{"millimeter", "millimeters", "millimetre", "millimetres"}}
	Centimeter = &Unit{"cm", Length, 1e-2, 0, nil}

	FootPerSecond  = &Unit{"ft/s", Velocity, foot, 0, []string{"fps", "ft/sec", "feet/s", "feetpersecond"}}
	MeterPerSecond = &Unit{"m/s", Velocity, 1, 0, []string{"mps", "m/sec"}}

	FootHead       = &Unit{"ft", Head, foot, 0, []string{"feet", "foot", "fthead", "ftofhead", "feethead", "feetofhead", "ftwc", "fth2o", "'", "′"}}
	MeterHead      = &Unit{"m", Head, 1, 0, []string{"meter", "meters", "metre", "metres", "mhead", "mofhead", "mh2o", "mwc"}}
	MillimeterHead = &Unit{"mm", Head, 1e-3, 0, []string{"mmhead"}}
	InchHead       = &Unit{"in", Head, inch, 0, []string{"inch", "inches", "inhead", "inwc"}}

	PSI        = &Unit{"psi", Pressure, poundPerSquareInch, 0, []string{"psig", "lb/in2", "lbs/in2", "lbf/in2"}}
	Kilopascal = &Unit{"kPa", Pressure, 1e3, 0, nil}
	PascalUnit = &Unit{"Pa", Pressure, 1, 0, []string{"pascal", "pascals"}}
	Bar        = &Unit{"bar", Pressure, 1e5, 0, []string{"bars"}}
	Millibar   = &Unit{"mbar", Pressure, 100, 0, nil}

	Fahrenheit     = &Unit{"°F", Temperature, 5.0 / 9, -32, []string{"f", "degf", "fahrenheit", "degreesf", "degreef", "ºf"}}
	CelsiusUnit    = &Unit{"°C", Temperature, 1, 0, []string{"c", "degc", "celsius", "degreesc", "degreec", "ºc"}}
	KelvinAbsolute = &Unit{"K", Temperature, 1, -273.15, []string{"kelvin"}}

	FahrenheitDifference = &Unit{"°F", TemperatureDifference, 5.0 / 9, 0, []string{"f", "degf", "fahrenheit", "degreesf", "degreef", "deltaf", "dtf", "f°", "ºf"}}
	KelvinDifference     = &Unit{"K", TemperatureDifference, 1, 0, []string{"kelvin", "kelvins"}}
	CelsiusDifference    = &Unit{"°C", TemperatureDifference, 1, 0, []string{"c", "degc", "celsius", "degreesc", "degreec", "ºc"}}

	FootPerHundredFeet = &Unit{"ft/100 ft", HeadRate, 0.01, 0, []string{"ft/100ft", "ftper100ft", "feetper100feet", "ft/100'", "'/100'"}}
	MillimeterPerMeter = &Unit{"mm/m", HeadRate, 1e-3, 0, []string{"mmperm"}}
	MeterPerMeter      = &Unit{"m/m", HeadRate, 1, 0, []string{"ft/ft"}}

	PascalPerMeter     = &Unit{"Pa/m", PressureRate, 1, 0, []string{"paperm"}}
	KilopascalPerMeter = &Unit{"kPa/m", PressureRate, 1e3, 0, nil}

	CvUnit = &Unit{"Cv", FlowCoefficient, gpm / sqrtPSI, 0, []string{"cv", "gpm/psi^0.5", "gpmat1psi"}}
	KvUnit = &Unit{"Kv", FlowCoefficient, 1 / hour / sqrtBar, 0, []string{"kv", "kvs", "m3/hat1bar"}}

	BTUPerHourFoot = &Unit{"BTU/h·ft", HeatPerLength, btuPerHour / foot, 0, []string{"btu/h.ft", "btu/hft", "btuh/ft", "btu/h/ft", "btu/hr.ft", "btu/hr/ft", "btu/hperft", "btu/(h.ft)"}}
	WattPerMeter   = &Unit{"W/m", HeatPerLength, 1, 0, nil}

	BTUPerHourGPMDegree          = &Unit{"BTU/h per gpm·°F", HeatPerFlowDegree, btuPerHour / (gpm * 5.0 / 9), 0, []string{"btu/hpergpmf", "btu/hpergpm.f", "btu/(h.gpm.f)", "btuh/gpmf", "btu/h/gpm/f", "btu/hpergpm°f"}}
	KilowattPerLiterSecondKelvin = &Unit{"kW per L/s·K", HeatPerFlowDegree, 1e6, 0, []string{"kwperl/sk", "kwperl/s.k", "kw/(l/s.k)", "kws/lk", "kj/lk", "kj/(l.k)", "kj/l.k"}}

	BTUPerHourDegree = &Unit{"BTU/h·°F", HeatPerDegree, btuPerHour / (5.0 / 9), 0, []string{"btu/h.f", "btu/hf", "btu/(h.f)", "btu/hr.f", "btuh/f", "btu/h/f"}}
	WattPerKelvin    = &Unit{"W/K", HeatPerDegree, 1, 0, nil}

	KilowattHour = &Unit{"kWh", Energy, kilowattHour, 0, []string{"kw.h", "kilowatthour", "kilowatthours", "kilowatt-hour", "kilowatt-hours"}}
	WattHour     = &Unit{"Wh", Energy, kilowattHour / 1000, 0, []string{"w.h", "watthour", "watthours", "watt-hour", "watt-hours"}}
	MegawattHour = &Unit{"MWh", Energy, 1000 * kilowattHour, 0, []string{"mw.h", "megawatthour", "megawatthours", "megawatt-hour", "megawatt-hours"}}
	Megajoule    = &Unit{"MJ", Energy, 1e6, 0, []string{"megajoule", "megajoules"}}
	BTUUnit      = &Unit{"BTU", Energy, BTU, 0, []string{"btus"}}
	Therm        = &Unit{"therm", Energy, therm, 0, []string{"therms", "thm"}}

	PoundPerCubicFoot     = &Unit{"lb/ft³", Density, poundMass / (foot * foot * foot), 0, []string{"lb/ft3", "lbs/ft3", "pcf", "lb/cuft"}}
	KilogramPerCubicMeter = &Unit{"kg/m³", Density, 1, 0, []string{"kg/m3"}}
	PoundPerGallon        = &Unit{"lb/gal", Density, poundMass / gallonUS, 0, []string{"lbs/gal"}}

	BTUPerPoundDegree          = &Unit{"BTU/lb·°F", SpecificHeat, BTU / (poundMass * 5.0 / 9), 0, []string{"btu/lbf", "btu/lb.f", "btu/(lb.f)", "btu/lb°f"}}
	KilojoulePerKilogramKelvin = &Unit{"kJ/kg·K", SpecificHeat, 1e3, 0, []string{"kj/kgk", "kj/kg.k", "kj/(kg.k)"}}

	Gallon     = &Unit{"gal", Volume, gallonUS, 0, []string{"gallon", "gallons", "usgal"}}
	Liter      = &Unit{"L", Volume, 1e-3, 0, []string{"l", "liter", "liters", "litre", "litres"}}
	CubicMeter = &Unit{"m³", Volume, 1, 0, []string{"m3", "m^3"}}
	CubicFoot  = &Unit{"ft³", Volume, foot * foot * foot, 0, []string{"ft3", "cuft"}}

	SquareFoot  = &Unit{"ft²", Area, foot * foot, 0, []string{"ft2", "sqft", "sf"}}
	SquareMeter = &Unit{"m²", Area, 1, 0, []string{"m2", "sqm"}}

	RevolutionPerMinute = &Unit{"rpm", Rotation, 1.0 / 60, 0, []string{"rev/min", "r/min"}}

	Minute = &Unit{"min", Duration, 60, 0, []string{"minute", "minutes"}}
	Hour   = &Unit{"h", Duration, hour, 0, []string{"hr", "hrs", "hour", "hours"}}
	Second = &Unit{"s", Duration, 1, 0, []string{"sec", "second", "seconds"}}
)

// Square roots of the pressures at which the valve coefficients are defined:
// Cv at 1 psi, Kv at 1 bar.
var (
	sqrtPSI = math.Sqrt(poundPerSquareInch)
	sqrtBar = math.Sqrt(1e5)
)

// units is every unit, in the order in which an alias is resolved.
var units = []*Unit{
	One, Percent,
	GallonPerMinute, LiterPerSecond, LiterPerMinute, LiterPerHour, CubicMeterPerHour, GallonPerHour, CubicMeterPerSecond,
	BTUPerHour, ThousandBTUPerHour, Watt, Kilowatt, Horsepower, BoilerHorsepower,
	Foot, Inch, Meter, Millimeter, Centimeter,
	FootPerSecond, MeterPerSecond,
	FootHead, MeterHead, MillimeterHead, InchHead,
	PSI, Kilopascal, PascalUnit, Bar, Millibar,
	Fahrenheit, CelsiusUnit, KelvinAbsolute,
	FahrenheitDifference, KelvinDifference, CelsiusDifference,
	FootPerHundredFeet, MillimeterPerMeter, MeterPerMeter,
	PascalPerMeter, KilopascalPerMeter,
	CvUnit, KvUnit,
	BTUPerHourFoot, WattPerMeter,
	BTUPerHourDegree, WattPerKelvin,
	BTUPerHourGPMDegree, KilowattPerLiterSecondKelvin,
	KilowattHour, WattHour, MegawattHour, Megajoule, BTUUnit, Therm,
	PoundPerCubicFoot, KilogramPerCubicMeter, PoundPerGallon,
	BTUPerPoundDegree, KilojoulePerKilogramKelvin,
	Gallon, Liter, CubicMeter, CubicFoot,
	SquareFoot, SquareMeter,
	RevolutionPerMinute,
	Minute, Hour, Second,
}

// unitsByText finds the units that a typed, folded text can mean: more than
// one where kinds share a symbol.
var unitsByText = func() map[string][]*Unit {
	m := make(map[string][]*Unit)
	add := func(text string, u *Unit) {
		for _, have := range m[text] {
			if have == u {
				return
			}
		}
		m[text] = append(m[text], u)
	}
	for _, u := range units {
		add(fold(u.Symbol), u)
		for _, a := range u.aliases {
			add(fold(a), u)
		}
	}
	return m
}()

// UnitNamed finds the unit of a kind by any of its written forms, or nil.
func UnitNamed(text string, kind Kind) *Unit {
	for _, u := range unitsByText[fold(text)] {
		if u.Kind == kind {
			return u
		}
	}
	return nil
}

// fold brings the many ways of writing one unit together: case, spaces,
// multiplication dots and superscripts do not matter.
func fold(text string) string {
	return strings.ToLower(folder.Replace(text))
}

var folder = strings.NewReplacer(
	" ", "", "\u00a0", "", "\u202f", "", "\u2009", "", "\t", "",
	"·", ".", "⋅", ".", "*", ".", "²", "2", "³", "3", "º", "°", "℉", "°f", "℃", "°c",
)

// UnitsOf lists the units of a kind.
func UnitsOf(kind Kind) []*Unit { return unitsByKind[kind] }

var unitsByKind = func() (m [kindCount][]*Unit) {
	for _, u := range units {
		m[u.Kind] = append(m[u.Kind], u)
	}
	return m
}()
