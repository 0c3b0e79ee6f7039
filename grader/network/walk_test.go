package network

import (
	"errors"
	"fmt"
	"math/rand/v2"
	"testing"

	"github.com/stretchr/testify/require"

	"loopwright/grader/quantity"
)

// Whatever is turned, the system settles: 2,000 random moves on a two-pipe
// system of radiators with valves set by hand, under every mode of the
// circulator, or says that its water would freeze.
func TestRandomWalkSettles(t *testing.T) {
	if testing.Short() {
		t.Skip("a slow walk")
	}
	r := rand.New(rand.NewPCG(11, 27))
	for _, rooms := range []int{3, 6} {
		s := ladder(rooms, true, false)
		m, err := Prepare(s)
		require.NoError(t, err)
		frozen := 0
		for move := range 1000 {
			n := 1 + r.IntN(rooms)
			what := ""
			switch r.IntN(6) {
			case 0:
				what = fmt.Sprintf("valve%d", n)
				require.NoError(t, m.Change(what, func(l *Link) {
					switch p := l.Part.(type) {
					case Valve:
						p.Lift = float64(r.IntN(11)) / 10
						l.Part = p
					}
				}))
			case 1:
				what = "pump"
				require.NoError(t, m.Change(what, func(l *Link) {
					c := l.Part.(Circulator)
					c.Speed, c.Mode, c.Set, c.Rated, c.Drop, c.Warm, c.Cool, c.Least = 0.4+0.6*r.Float64(), Mode(r.IntN(4)), 0.5+2.5*r.Float64(), 4e-4, quantity.Kelvin(5+15*r.Float64()), "s0", "r0", 0.3
					l.Part = c
				}))
			case 2:
				what = "boiler"
				require.NoError(t, m.Change(what, func(l *Link) {
					p := l.Part.(Source)
					p.Supply = ptr(quantity.Celsius(30 + 60*r.Float64()))
					p.Most = []float64{0, 4000, 9000}[r.IntN(3)]
					l.Part = p
				}))
			case 3:
				what = "outdoor"
				m.System().Outdoor = quantity.Celsius(-5 + 25*r.Float64())
			case 4:
				what = fmt.Sprintf("run%d", n)
				require.NoError(t, m.Change(what, func(l *Link) { l.Plugged = []float64{0, 0.5, 0.9, 0.99}[r.IntN(4)] }))
			case 5:
				what = fmt.Sprintf("panel%d", n)
				require.NoError(t, m.Change(what, func(l *Link) { l.Shut = r.IntN(3) == 0 }))
			}
			_, err := m.Solve()
			var freezes *quantity.RangeError
			if errors.As(err, &freezes) {
				frozen++
				continue
			}
			require.NoError(t, err, "%d rooms, move %d: %s", rooms, move, what)
		}
		require.Less(t, frozen, 50, "a trickle through a cold room freezes, and is said to; seldom")
	}
}
