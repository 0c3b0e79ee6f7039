package fluid

import (
	"math"

	"loopwright/grader/quantity"
)

// Properties are what flow and heat need to know of a liquid.
type Properties struct {
	Density      float64 // kg/m³
	SpecificHeat float64 // J/(kg·K)
	Viscosity    float64 // dynamic, Pa·s
}

// VolumetricHeat is the heat that a volume carries for each degree, ρ·cp, in
// J/(m³·K).
func (p Properties) VolumetricHeat() float64 { return p.Density * p.SpecificHeat }

// KinematicViscosity is μ/ρ in m²/s.
func (p Properties) KinematicViscosity() float64 { return p.Viscosity / p.Density }

// Range of Water.
const (
	LowestWater  quantity.Celsius = 0
	HighestWater quantity.Celsius = 150
)

// WaterPressure is the absolute pressure, in Pa, at which Water takes its
// properties. It keeps water liquid up to 150 °C, where it would boil at
// 0.476 MPa, and the choice hardly matters: between 0.2 and 0.6 MPa density
// moves by 0.02 % and specific heat by 0.05 %.
const WaterPressure = 0.6e6

// Water gives the properties of liquid water at t, 0 to 150 °C, at
// [WaterPressure]. Outside that range it returns a quantity.RangeError.
// Sources: see [WaterAt].
func Water(t quantity.Celsius) (Properties, error) { return WaterAt(t, WaterPressure) }

// WaterAt gives the properties of liquid water at t (°C) and an absolute
// pressure p (Pa).
//
// Density and specific heat: IAPWS R7-97(2012), region 1, equation 7 and
// table 3. Viscosity: IAPWS R12-08, equations 10 to 12 and tables 1 and 2,
// without the critical enhancement, which is 1 here. Validity: 0 to 150 °C,
// from the boiling pressure to 10 MPa (the formulations reach further; a
// heating system does not). Errors: a quantity.RangeError, also where the
// water would boil.
func WaterAt(t quantity.Celsius, p float64) (Properties, error) {
	if !(t >= LowestWater && t <= HighestWater) {
		return Properties{}, &quantity.RangeError{Quantity: "water temperature", Value: float64(t), Low: float64(LowestWater), High: float64(HighestWater), Unit: "degC"}
	}
	const highest = 10e6
	boiling := saturationPressure(float64(t) + zeroCelsius)
	if !(p >= boiling && p <= highest) {
		return Properties{}, &quantity.RangeError{Quantity: "absolute pressure of liquid water", Value: p, Low: boiling, High: highest, Unit: "Pa"}
	}
	kelvin := float64(t) + zeroCelsius
	v, cp, _ := region1(kelvin, p)
	rho := 1 / v
	return Properties{Density: rho, SpecificHeat: cp, Viscosity: viscosity(kelvin, rho)}, nil
}

// BoilingPressure is the absolute pressure, in Pa, below which water at t
// boils: IAPWS R7-97(2012), region 4, equation 30. Validity: 0 to 370 °C.
func BoilingPressure(t quantity.Celsius) (quantity.Pascal, error) {
	const highest = 370
	if !(t >= LowestWater && t <= highest) {
		return 0, &quantity.RangeError{Quantity: "water temperature", Value: float64(t), Low: float64(LowestWater), High: highest, Unit: "degC"}
	}
	return quantity.Pascal(saturationPressure(float64(t) + zeroCelsius)), nil
}

const zeroCelsius = 273.15

// gasConstant is the specific gas constant of ordinary water, J/(kg·K).
// Source: IAPWS R7-97(2012), equation 1.
const gasConstant = 461.526

type term struct {
	i, j int
	n    float64
}

// region1Terms: IAPWS R7-97(2012), table 2.
var region1Terms = [34]term{
	{0, -2, 0.14632971213167}, {0, -1, -0.84548187169114}, {0, 0, -0.37563603672040e1}, {0, 1, 0.33855169168385e1},
	{0, 2, -0.95791963387872}, {0, 3, 0.15772038513228}, {0, 4, -0.16616417199501e-1}, {0, 5, 0.81214629983568e-3},
	{1, -9, 0.28319080123804e-3}, {1, -7, -0.60706301565874e-3}, {1, -1, -0.18990068218419e-1}, {1, 0, -0.32529748770505e-1},
	{1, 1, -0.21841717175414e-1}, {1, 3, -0.52838357969930e-4}, {2, -3, -0.47184321073267e-3}, {2, 0, -0.30001780793026e-3},
	{2, 1, 0.47661393906987e-4}, {2, 3, -0.44141845330846e-5}, {2, 17, -0.72694996297594e-15}, {3, -4, -0.31679644845054e-4},
	{3, 0, -0.28270797985312e-5}, {3, 6, -0.85205128120103e-9}, {4, -5, -0.22425281908000e-5}, {4, -2, -0.65171222895601e-6},
	{4, 10, -0.14341729937924e-12}, {5, -8, -0.40516996860117e-6}, {8, -11, -0.12734301741641e-8}, {8, -6, -0.17424871230634e-9},
	{21, -29, -0.68762131295531e-18}, {23, -31, 0.14478307828521e-19}, {29, -38, 0.26335781662795e-22}, {30, -39, -0.11947622640071e-22},
	{31, -40, 0.18228094581404e-23}, {32, -41, -0.93537087292458e-25},
}

// region1 gives specific volume (m³/kg), specific heat (J/(kg·K)) and specific
// enthalpy (J/kg) at T (K) and p (Pa): IAPWS R7-97(2012), equation 7,
//
//	γ(π, τ) = Σ n (7.1 − π)^I (τ − 1.222)^J,  π = p/16.53 MPa,  τ = 1386 K/T
//	v = π γ_π RT/p,  cp = −τ² γ_ττ R,  h = τ γ_τ RT
func region1(T, p float64) (v, cp, h float64) {
	pi, tau := p/16.53e6, 1386/T
	a, b := 7.1-pi, tau-1.222
	var gPi, gTau, gTauTau float64
	for _, t := range region1Terms {
		ai, bj := power(a, t.i), power(b, t.j)
		j := float64(t.j)
		gPi -= t.n * float64(t.i) * ai / a * bj
		gTau += t.n * ai * j * bj / b
		gTauTau += t.n * ai * j * (j - 1) * bj / (b * b)
	}
	return pi * gPi * gasConstant * T / p, -tau * tau * gTauTau * gasConstant, tau * gTau * gasConstant * T
}

// power is x^n for whole n, by squaring.
func power(x float64, n int) float64 {
	if n < 0 {
		x, n = 1/x, -n
	}
	y := 1.0
	for ; n > 0; n >>= 1 {
		if n&1 == 1 {
			y *= x
		}
		x *= x
	}
	return y
}

// saturationPressure is p_s (Pa) at T (K): IAPWS R7-97(2012), equation 30 and
// table 34.
func saturationPressure(T float64) float64 {
	n := [11]float64{0, 0.11670521452767e4, -0.72421316703206e6, -0.17073846940092e2, 0.12020824702470e5, -0.32325550322333e7,
		0.14915108613530e2, -0.48232657361591e4, 0.40511340542057e6, -0.23855557567849, 0.65017534844798e3}
	th := T + n[9]/(T-n[10])
	a := th*th + n[1]*th + n[2]
	b := n[3]*th*th + n[4]*th + n[5]
	c := n[6]*th*th + n[7]*th + n[8]
	return 1e6 * math.Pow(2*c/(-b+math.Sqrt(b*b-4*a*c)), 4)
}

// viscosityTerms: IAPWS R12-08, table 2, as i, j and H_ij.
var viscosityTerms = [21]term{
	{0, 0, 5.20094e-1}, {1, 0, 8.50895e-2}, {2, 0, -1.08374}, {3, 0, -2.89555e-1},
	{0, 1, 2.22531e-1}, {1, 1, 9.99115e-1}, {2, 1, 1.88797}, {3, 1, 1.26613}, {5, 1, 1.20573e-1},
	{0, 2, -2.81378e-1}, {1, 2, -9.06851e-1}, {2, 2, -7.72479e-1}, {3, 2, -4.89837e-1}, {4, 2, -2.57040e-1},
	{0, 3, 1.61913e-1}, {1, 3, 2.57399e-1}, {0, 4, -3.25372e-2}, {3, 4, 6.98452e-2},
	{4, 5, 8.72102e-3}, {3, 6, -4.35673e-3}, {5, 6, -5.93264e-4},
}

// viscosity is μ (Pa·s) at T (K) and ρ (kg/m³): IAPWS R12-08, equations 11 and
// 12 with the coefficients of table 1.
func viscosity(T, rho float64) float64 {
	t, r := T/647.096, rho/322
	mu0 := 100 * math.Sqrt(t) / (1.67752 + 2.20462/t + 0.6366564/(t*t) - 0.241605/(t*t*t))
	sum := 0.0
	for _, h := range viscosityTerms {
		sum += power(1/t-1, h.i) * h.n * power(r-1, h.j)
	}
	return 1e-6 * mu0 * math.Exp(r*sum)
}
