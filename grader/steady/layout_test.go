package steady_test

import (
	"math"
	"math/rand/v2"

	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"loopwright/grader/steady"
)

// layout is a network before anything solves it.
type layout struct {
	nodes        int
	fixed        []int
	links        [][2]int
	laws         []steady.Law
	inflow, head []float64 // of each node
}

// network is the layout made ready; its power laws know where to start.
func (l *layout) network(t require.TestingT) *steady.Network {
	n, err := steady.New(l.nodes, l.fixed, l.links)
	require.NoError(t, err)
	for k, law := range l.laws {
		if p, ok := law.(powerLaw); ok {
			law = starter{p}
		}
		n.Laws[k] = law
	}
	copy(n.Inflow, l.inflow)
	copy(n.Head, l.head)
	return n
}

// powerLaw is h = k Q|Q|^(n−1), straight within a drop a minute, as the laws of
// package network are.
type powerLaw struct{ k, n float64 }

func (l powerLaw) HeadAndSlope(q float64) (head, slope float64) {
	const drop = 1e-9 // m³/s
	size := math.Abs(q)
	if size < drop {
		slope = l.k * math.Pow(drop, l.n-1)
		return slope * q, slope
	}
	slope = l.k * math.Pow(size, l.n-1)
	return slope * q, l.n * slope
}

// flatLaw is the same without the straight part: at no flow it has no slope.
type flatLaw struct{ powerLaw }

func (l flatLaw) HeadAndSlope(q float64) (head, slope float64) {
	slope = l.k * math.Pow(math.Abs(q), l.n-1)
	return slope * q, l.n * slope
}

// starter is a power law that starts from the flow that loses 0.3 m.
type starter struct{ powerLaw }

func (s starter) StartFlow() float64 { return math.Pow(0.3/s.k, 1/s.n) }

// circulatorLaw adds a head that falls with the square of the flow, and rises
// beyond shutoff when the flow is driven backward.
type circulatorLaw struct{ shutoff, k float64 }

func (l circulatorLaw) HeadAndSlope(q float64) (head, slope float64) {
	h, s := powerLaw{l.k, 2}.HeadAndSlope(q)
	return h - l.shutoff, s
}

// valveOneWay lets nothing back, and forward only what comes against a spring.
type valveOneWay struct {
	opens float64
	powerLaw
}

func (v valveOneWay) OpensAt() float64 { return v.opens }

func (v valveOneWay) HeadAndSlope(q float64) (head, slope float64) {
	if q < 0 {
		return steady.SeatedHead(v.opens, q)
	}
	h, s := v.powerLaw.HeadAndSlope(q)
	return v.opens + h, s
}

// chooser draws numbers: at random, or by package rapid.
type chooser interface {
	whole(low, high int) int // both included
	real(low, high float64) float64
}

type dice struct{ *rand.Rand }

func (d dice) whole(low, high int) int        { return low + d.IntN(high-low+1) }
func (d dice) real(low, high float64) float64 { return low + (high-low)*d.Float64() }

// drawPower is a power law, exponent 1 to 2, that loses between 10^−span and
// 10^span m at a liter a second.
func drawPower(c chooser, span float64) powerLaw {
	n := c.real(1, 2)
	return powerLaw{math.Pow(10, c.real(-span, span)) / math.Pow(1e-3, n), n}
}

// drawLayout is a connected network of power laws and perhaps a circulator,
// with given heads, or none, and inflows that balance if it has none.
func drawLayout(c chooser, most int, span float64) *layout {
	l := &layout{nodes: c.whole(2, most)}
	for i := 1; i < l.nodes; i++ {
		l.links = append(l.links, [2]int{c.whole(0, i-1), i})
	}
	for range c.whole(0, l.nodes) {
		a, b := c.whole(0, l.nodes-1), c.whole(0, l.nodes-2)
		if b >= a {
			b++
		}
		l.links = append(l.links, [2]int{a, b})
	}
	for range l.links {
		l.laws = append(l.laws, drawPower(c, span))
	}
	if c.whole(0, 1) == 1 {
		l.laws[c.whole(0, len(l.laws)-1)] = circulatorLaw{c.real(1, 10), math.Pow(10, c.real(4, 7))}
	}
	l.inflow, l.head = make([]float64, l.nodes), make([]float64, l.nodes)
	for i := range c.whole(0, min(3, l.nodes)) {
		l.fixed = append(l.fixed, l.nodes-1-i)
		l.head[l.nodes-1-i] = c.real(0, 20)
	}
	for range c.whole(0, 3) {
		l.inflow[c.whole(0, l.nodes-1)] += float64(c.whole(-20, 20)) * 1e-4
	}
	if len(l.fixed) == 0 {
		sum := 0.0
		for _, q := range l.inflow[1:] {
			sum += q
		}
		l.inflow[0] = -sum
	}
	return l
}

// draws lets package rapid choose, so that it can shrink what fails.
type draws struct{ *rapid.T }

func (d draws) whole(low, high int) int { return rapid.IntRange(low, high).Draw(d.T, "whole") }
func (d draws) real(low, high float64) float64 {
	return rapid.Float64Range(low, high).Draw(d.T, "real")
}
