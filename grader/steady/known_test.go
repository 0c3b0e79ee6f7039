package steady_test

import (
	"encoding/json"
	"math"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"loopwright/grader/closeto"
	"loopwright/grader/pipe"
	"loopwright/grader/steady"
)

// published is a file of testdata/known: a network as a publication gives it,
// in the publication's own units, with two kinds of answers. Flow, loss and
// want are printed ones; they hold as tightly as their method, which the
// file's note explains: flows better than heads, since some sources freeze the
// friction or stop early. Recomputed answers come from another program's solver
// on the same inputs, and hold to their last figure.
type published struct {
	Source, Friction, Note string
	Units                  struct{ Length, Bore, Flow, Head float64 } // in SI
	G, Nu                  float64                                    // m/s², m²/s
	// Hazen-Williams: h = Constant L Q^1.852/(C^1.852 D^BoreExponent), with
	// lengths in FormulaUnit (m) and flows in its cube a second.
	Constant     float64
	BoreExponent float64 `json:"bore_exponent"`
	FormulaUnit  float64 `json:"formula_unit"`

	FlowTolerance           float64 `json:"flow_tolerance"` // relative
	FlowAbsolute            float64 `json:"flow_absolute"`  // in the file's unit
	LossTolerance           float64 `json:"loss_tolerance"`
	HeadTolerance           float64 `json:"head_tolerance"`
	RecomputedTolerance     float64 `json:"recomputed_tolerance"`
	RecomputedAbsolute      float64 `json:"recomputed_absolute"`
	RecomputedLossTolerance float64 `json:"recomputed_loss_tolerance"`
	RecomputedHeadTolerance float64 `json:"recomputed_head_tolerance"`

	Nodes []knownNode
	Links []knownLink
}

type knownNode struct {
	ID               string
	Head             *float64 // given
	Inflow           float64
	Want, Recomputed *float64 // head
}

type knownLink struct {
	ID, From, To, Law  string
	Length, Bore       float64
	Roughness, C, F, K float64
	Curve              []float64
	Density, Watts     float64
	Flow, Loss         *float64
	FlowAbsolute       float64  `json:"flow_absolute"`
	Recomputed         *float64 // flow
	RecomputedLoss     *float64 `json:"recomputed_loss"`
}

// colebrookLaw is Darcy and Weisbach's, h = f L/D v²/(2g), with the friction
// factor of package pipe, which has its own published tests.
type colebrookLaw struct{ length, bore, roughness, nu, g float64 }

func (l colebrookLaw) HeadAndSlope(q float64) (head, slope float64) {
	toRe := 4 / (math.Pi * l.bore * l.nu)
	term, d := pipe.LossTerm(math.Abs(q)*toRe, l.roughness/l.bore)
	// v = Re ν/D, so f v²/(2 g D) = f Re² ν²/(2 g D³).
	k := l.length * l.nu * l.nu / (2 * l.g * math.Pow(l.bore, 3))
	return math.Copysign(k*term, q), k * d * toRe
}

// pumpLaw adds the head a + b Q + c Q²; left of the top of the curve the top.
// Heads in meters, flows in units of unit m³/s.
type pumpLaw struct{ a, b, c, unit float64 }

func (l pumpLaw) HeadAndSlope(q float64) (head, slope float64) {
	q /= l.unit
	if top := -l.b / (2 * l.c); q < top {
		return -(l.a + top*(l.b+top*l.c)), 0
	}
	return -(l.a + q*(l.b+q*l.c)), -(l.b + 2*l.c*q) / l.unit
}

// constantPower gives the water all the power of its motor: −P/(ρ g Q). Below
// a liter a second its tangent stands for it: at no flow its head has no end.
type constantPower struct{ head float64 } // P/(ρ g), m·m³/s

func (l constantPower) HeadAndSlope(q float64) (head, slope float64) {
	const least = 1e-3
	if q < least {
		return -l.head / least * (2 - q/least), l.head / (least * least)
	}
	return -l.head / q, l.head / (q * q)
}

func (p *published) law(t *testing.T, l knownLink) steady.Law {
	length, bore := l.Length*p.Units.Length, l.Bore*p.Units.Bore
	switch l.Law {
	case "hazen-williams":
		const n = 1.852
		u := p.FormulaUnit
		k := p.Constant * length / u / (math.Pow(l.C, n) * math.Pow(bore/u, p.BoreExponent))
		return powerLaw{k * u / math.Pow(u*u*u, n), n}
	case "fixed-f":
		area := math.Pi / 4 * bore * bore
		return powerLaw{l.F * length / bore / (2 * p.G * area * area), 2}
	case "darcy-weisbach":
		return colebrookLaw{length, bore, l.Roughness * p.Units.Bore, p.Nu, p.G}
	case "square":
		return powerLaw{l.K * p.Units.Head / (p.Units.Flow * p.Units.Flow), 2}
	case "pump":
		h := p.Units.Head
		return pumpLaw{l.Curve[0] * h, l.Curve[1] * h, l.Curve[2] * h, p.Units.Flow}
	case "power":
		return constantPower{l.Watts / (l.Density * p.G)}
	}
	t.Fatalf("no law %q", l.Law)
	return nil
}

// build makes the network of a file; number maps the names of nodes.
func (p *published) build(t *testing.T) (n *steady.Network, number map[string]int) {
	t.Helper()
	number = map[string]int{}
	var fixed []int
	for i, node := range p.Nodes {
		number[node.ID] = i
		if node.Head != nil {
			fixed = append(fixed, i)
		}
	}
	links := make([][2]int, len(p.Links))
	for k, l := range p.Links {
		from, ok := number[l.From]
		require.True(t, ok, l.From)
		to, ok := number[l.To]
		require.True(t, ok, l.To)
		links[k] = [2]int{from, to}
	}
	n, err := steady.New(len(p.Nodes), fixed, links)
	require.NoError(t, err)
	for k, l := range p.Links {
		n.Laws[k] = p.law(t, l)
	}
	for i, node := range p.Nodes {
		n.Inflow[i] = node.Inflow * p.Units.Flow
		if node.Head != nil {
			n.Head[i] = *node.Head * p.Units.Head
		}
	}
	return n, number
}

// Networks and operating points that were published.
func TestKnown(t *testing.T) {
	files, err := filepath.Glob("testdata/known/*.json")
	require.NoError(t, err)
	require.Len(t, files, 17)
	for _, file := range files {
		t.Run(strings.TrimSuffix(filepath.Base(file), ".json"), func(t *testing.T) {
			b, err := os.ReadFile(file)
			require.NoError(t, err)
			var p published
			require.NoError(t, json.Unmarshal(b, &p))
			require.NotEmpty(t, p.Source)
			require.NotEmpty(t, p.Note)
			n, number := p.build(t)
			_, err = n.Solve()
			require.NoError(t, err)
			held := slices.ContainsFunc(p.Nodes, func(n knownNode) bool { return n.Head != nil })
			compared := 0
			compare := func(want *float64, got, relative, absolute float64, what string) {
				if want == nil {
					return
				}
				tolerance := math.Max(relative*math.Abs(*want), absolute)
				require.Positive(t, tolerance, "a tolerance for "+what)
				closeto.Absolute(t, *want, got, tolerance, what)
				compared++
			}
			for k, l := range p.Links {
				flow := n.Flow[k] / p.Units.Flow
				compare(l.Flow, flow, p.FlowTolerance, math.Max(p.FlowAbsolute, l.FlowAbsolute), "flow in "+l.ID)
				compare(l.Recomputed, flow, p.RecomputedTolerance, p.RecomputedAbsolute, "recomputed flow in "+l.ID)
				loss := (n.Head[number[l.From]] - n.Head[number[l.To]]) / p.Units.Head
				compare(l.Loss, loss, p.LossTolerance, 0, "loss in "+l.ID)
				compare(l.RecomputedLoss, loss, p.RecomputedLossTolerance, 0, "recomputed loss in "+l.ID)
			}
			for i, node := range p.Nodes {
				head := n.Head[i] / p.Units.Head
				compare(node.Want, head, p.HeadTolerance, 0, "head at "+node.ID)
				compare(node.Recomputed, head, p.RecomputedHeadTolerance, 0, "recomputed head at "+node.ID)
				require.Equal(t, !held, n.Loose[i], "heads are relative where none is given")
			}
			require.GreaterOrEqual(t, compared, 2)
		})
	}
}
