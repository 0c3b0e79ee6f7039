package quantity

import (
	"encoding/json"
	"math"
	"strings"
	"testing"
	"unicode/utf8"

	"github.com/stretchr/testify/require"

	"loopwright/grader/closeto"
)

// Factors by hand from the exact definitions in NIST SP 811 (2008) appendix B.
func TestRead(t *testing.T) {
	for _, c := range []struct {
		text  string
		asked *Unit
		si    float64
		rel   float64
		bare  bool
	}{
		{"45 gpm", GallonPerMinute, 45 * 3.785411784e-3 / 60, 1e-12, false},
		{"45gpm", GallonPerMinute, 45 * 3.785411784e-3 / 60, 1e-12, false},
		{"2.84 L/s", GallonPerMinute, 2.84e-3, 1e-12, false},
		{"2.84 l/s", LiterPerSecond, 2.84e-3, 1e-12, false},
		{"10.2 m3/h", LiterPerSecond, 10.2 / 3600, 1e-12, false},
		{"10.2 m³/h", LiterPerSecond, 10.2 / 3600, 1e-12, false},
		{"1,200", BTUPerHour, 1200 * 0.29307107017, 1e-9, true},
		{"1,234.5", One, 1234.5, 1e-12, true},
		{"1.234,5", One, 1234.5, 1e-12, true},
		{"1.234.567", One, 1234567, 1e-12, true},
		{"1,234,567", One, 1234567, 1e-12, true},
		{"1 200", One, 1200, 1e-12, true},
		{"1\u00a0200,5", One, 1200.5, 1e-12, true},
		{"1'200", One, 1200, 1e-12, true},
		{"0,125", One, 0.125, 1e-12, true},
		{"0,12", One, 0.12, 1e-12, true},
		{"12,5", One, 12.5, 1e-12, true},
		{".5", One, 0.5, 1e-12, true},
		{"5.", One, 5, 1e-12, true},
		{"-3", One, -3, 1e-12, true},
		{"\u22123", One, -3, 1e-12, true},
		{"+3", One, 3, 1e-12, true},
		{"1.2e3", One, 1200, 1e-12, true},
		{"1 1/4 in", Inch, 0.03175, 1e-12, false},
		{"1-1/4 in", Inch, 0.03175, 1e-12, false},
		{"1¼\"", Inch, 0.03175, 1e-12, false},
		{"½ in", Inch, 0.0127, 1e-12, false},
		{"3/4 in", Inch, 0.01905, 1e-12, false},
		{"450 MBH", BTUPerHour, 450e3 * 0.29307107017, 1e-9, false},
		{"450k btu/h", BTUPerHour, 450e3 * 0.29307107017, 1e-9, false},
		{"450k", BTUPerHour, 450e3 * 0.29307107017, 1e-9, true},
		{"60,000 Btu/hr", Kilowatt, 60e3 * 0.29307107017, 1e-9, false},
		{"1,5 kW", Watt, 1500, 1e-12, false},
		{"18 ft", FootHead, 18 * 0.3048, 1e-12, false},
		{"18'", FootHead, 18 * 0.3048, 1e-12, false},
		{"18 ft of head", FootHead, 18 * 0.3048, 1e-12, false},
		{"7.8 psi", PSI, 7.8 * 6894.757293168, 1e-9, false},
		{"54 kPa", PSI, 54e3, 1e-12, false},
		{"180 °F", Fahrenheit, (180 - 32) / 1.8, 1e-12, false},
		{"180", Fahrenheit, (180 - 32) / 1.8, 1e-12, true},
		{"20 °F", KelvinDifference, 20 / 1.8, 1e-12, false},
		{"20 F", FahrenheitDifference, 20 / 1.8, 1e-12, false},
		{"11 C", KelvinDifference, 11, 1e-12, false},
		{"355.15 K", CelsiusUnit, 82, 1e-9, false},
		{"35 %", One, 0.35, 1e-12, false},
		{"4 ft/100 ft", FootPerHundredFeet, 0.04, 1e-12, false},
		{"1750 rpm", RevolutionPerMinute, 1750.0 / 60, 1e-12, false},
		{"1250 kWh", KilowattHour, 4.5e9, 1e-12, false},
		{"1250", KilowattHour, 4.5e9, 1e-12, true},
		{"1,250 kW h", KilowattHour, 4.5e9, 1e-12, false},
		{"1,250 kW·h", KilowattHour, 4.5e9, 1e-12, false},
		{"1.25 kilowatt hours", KilowattHour, 4.5e6, 1e-12, false},
		{"1 kilowatt-hour", KilowattHour, 3.6e6, 1e-12, false},
		{"850 Wh", KilowattHour, 850 * 3600, 1e-12, false},
		{"1.25 MWh", KilowattHour, 4.5e9, 1e-12, false},
		{"1.25k kWh", KilowattHour, 4.5e9, 1e-12, false},
		{"290 MJ", KilowattHour, 290e6, 1e-12, false},
		{"8 therms", Megajoule, 8 * 105.505585262e6, 1e-12, false},
		{"400k BTU", Therm, 4 * 105.505585262e6, 1e-12, false},
		{"580 BTU/h·ft", BTUPerHourFoot, 580 * 0.29307107017 / 0.3048, 1e-9, false},
	} {
		r, err := Read(c.text, c.asked)
		require.NoError(t, err, c.text)
		closeto.Relative(t, c.si, r.Quantity.SI, c.rel, c.text)
		require.Equal(t, c.bare, r.Bare, c.text)
		require.Equal(t, c.asked.Kind, r.Quantity.Kind(), c.text)
	}
}

func TestReadRefuses(t *testing.T) {
	for _, text := range []string{
		"", "  ", "gpm", "NaN", "Inf", "-Inf", "1e309", "1..2", "1,2,3", "1.2.3,4,5", "12 parsecs", "1/0", "3/0 in",
		"--3", "0x10 gpm", "<script>", "5'6\"", strings.Repeat("9", 65), "5 \xff gpm", "1e999 gpm", "²",
	} {
		_, err := Read(text, GallonPerMinute)
		var bad *ReadError
		require.ErrorAs(t, err, &bad, text)
		require.Contains(t, err.Error(), GallonPerMinute.Kind.Example(), text)
	}
}

// Head is not pressure, a reading is not a difference: each is read as what it
// is, so that the marker can say so.
func TestReadTellsKindsApart(t *testing.T) {
	for _, c := range []struct {
		text  string
		asked *Unit
		kind  Kind
	}{
		{"18 ft", PSI, Head}, {"7.8 psi", FootHead, Pressure}, {"45 gpm", PSI, Flow},
		{"20 K", FahrenheitDifference, TemperatureDifference}, {"20 K", Fahrenheit, Temperature},
		{"18 ft", Foot, Length}, {"18 ft", FootHead, Head}, {"5 m", Kilopascal, Head},
		// Energy is not the rate at which it is used.
		{"1250 kWh", KilowattHour, Energy}, {"1250 kW", KilowattHour, Power}, {"60,000 BTU/h", KilowattHour, Power},
		{"60,000 BTU", BTUPerHour, Energy}, {"1.25 kWh", Kilowatt, Energy}, {"1250 h", KilowattHour, Duration},
	} {
		r, err := Read(c.text, c.asked)
		require.NoError(t, err, c.text)
		require.Equal(t, c.kind, r.Quantity.Kind(), c.text)
	}
}

func TestText(t *testing.T) {
	for want, q := range map[string]Quantity{
		"45\u00a0gpm":          Of(45, GallonPerMinute),
		"6.16\u00a0gpm":        Of(6.1602, GallonPerMinute),
		"61,200\u00a0BTU/h":    Of(61234, BTUPerHour),
		"161.5\u00a0°F":        Of(161.52, Fahrenheit),
		"\u22125.5\u00a0°C":    Of(-5.46, CelsiusUnit),
		"0\u00a0K":             Of(-0.001, KelvinDifference),
		"0.000123\u00a0m³/s":   Of(0.00012345, CubicMeterPerSecond),
		"35\u00a0%":            Of(35, Percent),
		"0.35":                 Of(0.35, One),
		"450\u00a0MBH":         Of(450, ThousandBTUPerHour),
		"1,250\u00a0kWh":       Of(1250.4, KilowattHour),
		"1,230,000\u00a0BTU/h": Of(1234567, BTUPerHour),
	} {
		require.Equal(t, want, q.Text())
	}
	require.Equal(t, "61,234\u00a0BTU/h", Of(61234, BTUPerHour).Exact())
	require.Equal(t, "0.3\u00a0L/s", Of(0.1+0.2, LiterPerSecond).Exact())
}

func TestJSONRoundTrip(t *testing.T) {
	for _, u := range units {
		q := Of(12.5, u)
		b, err := json.Marshal(q)
		require.NoError(t, err)
		var back Quantity
		require.NoError(t, json.Unmarshal(b, &back), string(b))
		require.Equal(t, q, back)
	}
	b, err := json.Marshal(Of(45, GallonPerMinute))
	require.NoError(t, err)
	require.JSONEq(t, `{"text":"45 gpm","si":0.0028390588380000003,"unit":"m3/s","kind":"flow","in":"gpm"}`, string(b))
	var bad Quantity
	require.Error(t, json.Unmarshal([]byte(`{"in":"furlong","kind":"length"}`), &bad))
}

// Every printed symbol reads back as its own unit, and converting there and
// back changes nothing.
func TestUnitsRoundTrip(t *testing.T) {
	for _, u := range units {
		require.Same(t, u, UnitNamed(u.Symbol, u.Kind), u.Symbol)
		closeto.Relative(t, 37.5, u.FromSI(u.ToSI(37.5)), 1e-12, u.Symbol)
	}
	require.Nil(t, UnitNamed("furlong", Length))
}

// Cross-check of derived factors: NIST SP 811 (2008) appendix B.8.
func TestFactorsAgainstSP811(t *testing.T) {
	closeto.Relative(t, 2.930711e-1, BTUPerHour.Factor, 1e-6, "BTU/h in W")
	closeto.Relative(t, 6.309020e-5, GallonPerMinute.Factor, 1e-6, "gpm in m3/s")
	closeto.Relative(t, 6.894757e3, PSI.Factor, 1e-6, "psi in Pa")
	closeto.Relative(t, 7.456999e2, Horsepower.Factor, 1e-6, "hp in W")
	closeto.Relative(t, 1.601846e1, PoundPerCubicFoot.Factor, 1e-6, "lb/ft3 in kg/m3")
	closeto.Relative(t, 3.6e6, KilowattHour.Factor, 1e-12, "kWh in J")
	closeto.Relative(t, 3.6e3, WattHour.Factor, 1e-12, "Wh in J")
	closeto.Relative(t, 1.055056e3, BTUUnit.Factor, 1e-6, "BTU in J")
	closeto.Relative(t, 1.05506e8, Therm.Factor, 1e-5, "therm (EC) in J")
	closeto.Relative(t, 1.054804e8, Therm.Factor, 3e-4, "therm (U.S.) in J, within 0.03 %")
	closeto.Relative(t, 4.1868e3, BTUPerPoundDegree.Factor, 1e-6, "BTU/lb F in J/kg K")
	// Kv = 0.865 Cv in m3/h at 1 bar. Source: IEC 60534-2-1:2011, table 1.
	closeto.Relative(t, 0.865, CvUnit.Factor/KvUnit.Factor, 1e-3, "Cv in Kv")
}

func TestHeadAndPressure(t *testing.T) {
	// 1 ft of water at 62.4 lb/ft³ is 62.4/144 = 0.4333 psi.
	p := MetersHead(0.3048).Pressure(62.4 * PoundPerCubicFoot.Factor)
	closeto.Relative(t, 62.4/144, PSI.FromSI(float64(p)), 1e-9, "psi of a foot")
	closeto.Relative(t, 0.3048, float64(p.Head(62.4*PoundPerCubicFoot.Factor)), 1e-12, "round trip")
	require.Equal(t, Kelvin(11), Celsius(71).Minus(60))
	require.Equal(t, Celsius(71), Celsius(60).Plus(11))
}

func FuzzRead(f *testing.F) {
	for _, s := range []string{"45 gpm", "1,200", "1 1/4 in", "450k btu/h", "1,5 kW", "½", "1e309", "-−3", "1'2'3", "  7 / 8", "1 200 300,5 °F", "9\xff"} {
		f.Add(s)
	}
	asked := []*Unit{GallonPerMinute, Inch, BTUPerHour, FootHead, PSI, Fahrenheit, KelvinDifference, KilowattHour, One}
	f.Fuzz(func(t *testing.T, text string) {
		for _, u := range asked {
			r, err := Read(text, u)
			if err != nil {
				require.NotEmpty(t, err.Error())
				require.True(t, utf8.ValidString(err.Error()))
				continue
			}
			require.False(t, math.IsNaN(r.Quantity.SI) || math.IsInf(r.Quantity.SI, 0), text)
			require.GreaterOrEqual(t, r.Figures, 1)
			// What is shown reads back as what was read, to the figures shown.
			back, err := Read(r.Quantity.Exact(), r.Quantity.Unit)
			require.NoError(t, err, "%q shown as %q", text, r.Quantity.Exact())
			require.InDelta(t, r.Quantity.Number(), back.Quantity.Number(), 1e-5*math.Abs(r.Quantity.Number())+1e-300, "%q shown as %q", text, r.Quantity.Exact())
		}
	})
}
