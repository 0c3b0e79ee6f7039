package quantity

// Celsius is a temperature as a thermometer shows it, in degrees Celsius.
type Celsius float64

// Kelvin is a difference of two temperatures, in kelvins. It never gets the
// offset of a scale: 20 °F of drop is 11.1 K, not −6.7 °C.
type Kelvin float64

// MetersHead is head: energy per weight of the flowing fluid, in meters of it.
type MetersHead float64

// Pascal is a pressure or a difference of pressures, in pascals. Gauge unless
// a name says absolute.
type Pascal float64

// StandardGravity is g_n in m/s², exact by definition.
// Source: 3rd CGPM (1901), resolution 2; SI Brochure 9th ed.
const StandardGravity = 9.80665

// Minus is the difference between two readings.
func (t Celsius) Minus(other Celsius) Kelvin { return Kelvin(t - other) }

// Plus raises a reading by a difference.
func (t Celsius) Plus(d Kelvin) Celsius { return t + Celsius(d) }

// Pressure is the pressure that head h of a fluid of density rho (kg/m³)
// exerts: p = rho g h.
func (h MetersHead) Pressure(rho float64) Pascal {
	return Pascal(float64(h) * rho * StandardGravity)
}

// Head is the height of a fluid of density rho (kg/m³) that pressure p holds
// up: h = p / (rho g).
func (p Pascal) Head(rho float64) MetersHead {
	return MetersHead(float64(p) / (rho * StandardGravity))
}
