package fluid

import (
	"testing"

	"github.com/stretchr/testify/require"

	"loopwright/grader/closeto"
	"loopwright/grader/quantity"
)

// The table against the formulation it was made of, off its rows.
func TestNearWater(t *testing.T) {
	l := NearWater()
	for c := quantity.Celsius(0.13); c < 150; c += 0.37 {
		want, err := Water(c)
		require.NoError(t, err)
		got, err := l.At(c)
		require.NoError(t, err)
		closeto.Relative(t, want.Density, got.Density, 1e-6, "density")
		closeto.Relative(t, want.SpecificHeat, got.SpecificHeat, 1e-6, "specific heat")
		closeto.Relative(t, want.Viscosity, got.Viscosity, 1e-6, "viscosity")
		h, err := l.Enthalpy(c)
		require.NoError(t, err)
		both, cp, err := l.Heat(c)
		require.NoError(t, err)
		closeto.Relative(t, h, both, 1e-15, "enthalpy")
		closeto.Relative(t, got.SpecificHeat, cp, 1e-15, "specific heat")
		back, err := l.Temperature(h)
		require.NoError(t, err)
		closeto.Absolute(t, float64(c), float64(back), 1e-9, "round trip")
		// cp is dh/dT at constant pressure, by a central difference.
		up, _ := l.Enthalpy(c + 0.01)
		down, _ := l.Enthalpy(c - 0.01)
		closeto.Relative(t, want.SpecificHeat, (up-down)/0.02, 1e-5, "slope of enthalpy")
	}
	// IAPWS R7-97(2012), table 5: h = 115.331273 kJ/kg at 300 K and 3 MPa. At
	// 0.6 MPa it is lower by (3 − 0.6) MPa × v (1 − β T), by hand: v =
	// 1.0034e-3 m³/kg, β = 2.75e-4 1/K (handbook): 2.209 kJ/kg.
	h, err := l.Enthalpy(26.85)
	require.NoError(t, err)
	closeto.Absolute(t, 115.331273e3-2.209e3, h, 5, "enthalpy at 300 K")
	for _, c := range []quantity.Celsius{-1, 151} {
		_, err := l.At(c)
		var outside *quantity.RangeError
		require.ErrorAs(t, err, &outside)
		_, err = l.Enthalpy(c)
		require.ErrorAs(t, err, &outside)
	}
	_, err = l.Temperature(-1e6)
	require.Error(t, err)
}

func BenchmarkNearWater(b *testing.B) {
	b.Run("exact", func(b *testing.B) {
		for b.Loop() {
			_, _ = Water(61.3)
		}
	})
	b.Run("table", func(b *testing.B) {
		l := NearWater()
		for b.Loop() {
			_, _ = l.At(61.3)
		}
	})
}
