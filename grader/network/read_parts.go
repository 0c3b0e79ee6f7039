package network

import (
	"errors"
	"math"
	"slices"
	"strings"

	"loopwright/grader/boiler"
	"loopwright/grader/circulator"
	"loopwright/grader/document"
	"loopwright/grader/emitter"
	"loopwright/grader/pipe"
	"loopwright/grader/quantity"
	"loopwright/grader/valve"
)

// kinds of links, as files name them.
var kinds = map[string]func(*reader, *document.Map) Part{
	"pipe":           (*reader).pipe,
	"resistance":     (*reader).resistance,
	"valve":          (*reader).valve,
	"balancing":      (*reader).balancing,
	"check":          (*reader).check,
	"limiter":        (*reader).limiter,
	"bypass":         (*reader).bypass,
	"radiator-valve": (*reader).radiatorValve,
	"circulator":     (*reader).circulator,
	"boiler":         (*reader).boiler,
	"radiator":       (*reader).radiator,
	"diverter-tee":   (*reader).diverterTee,
	"close-tees":     (*reader).closeTees,
	"separator":      (*reader).separator,
}

func (r *reader) part(id, kind string, m *document.Map) (Link, bool) {
	read, ok := kinds[kind]
	if !ok {
		all := []string{"mixing", "run"}
		for k := range kinds {
			all = append(all, k)
		}
		slices.Sort(all)
		v, there := m.Get("kind")
		if !there {
			v = m.Value
		}
		v.Fail("link %s has kind %q; accepted are %s", id, kind, strings.Join(all, ", "))
		m.Each(func(string, document.Value) {})
		return Link{}, false
	}
	var l Link
	l.Part = read(r, m)
	l.Shut = m.Yes("shut")
	l.Plugged = m.SIOr("plugged", quantity.Percent, document.Share, 0)
	l.Lock = r.headOr(m, "air", 0)
	return l, true
}

// head reads a head, or a pressure as the head of the system's water, in m.
func (r *reader) head(v document.Value) (float64, bool) {
	q, ok := v.Either(quantity.FootHead, quantity.PSI)
	if !ok {
		return 0, false
	}
	return Meters(q, r.water.Density), true
}

// Meters is a head, or a pressure as the head of water of a density, in m.
func Meters(q quantity.Quantity, density float64) float64 {
	if q.Kind() == quantity.Pressure {
		return float64(quantity.Pascal(q.SI).Head(density))
	}
	return q.SI
}

func (r *reader) headOr(m *document.Map, key string, otherwise float64) float64 {
	v, ok := m.Get(key)
	if !ok {
		return otherwise
	}
	h, ok := r.head(v)
	if ok && h < 0 {
		v.Fail("%q must not be below zero", v.Text())
	}
	return h
}

func (r *reader) needHead(m *document.Map, key string) float64 {
	if !m.Has(key) {
		m.Missing(key, "8 ft, 25 kPa")
		return 1
	}
	return r.headOr(m, key, 1)
}

func (r *reader) coefficient(m *document.Map) valve.Coefficient {
	return valve.Coefficient(m.Need("coefficient", quantity.CvUnit, document.Positive))
}

// rated reads "loss: 9 ft at 10 gpm" with its exponent.
func (r *reader) rated(m *document.Map) (PowerLaw, bool) {
	v, ok := m.Get("loss")
	if !ok {
		return PowerLaw{}, false
	}
	exponent := m.SIOr("exponent", quantity.One, document.Range{Low: 1, High: 2}, 2)
	return ReadRated(v, exponent, r.water.Density)
}

// ReadRated reads a rated point such as "9 ft at 10 gpm" as a power law; as
// [ReadCurve] otherwise.
func ReadRated(v document.Value, exponent, density float64) (PowerLaw, bool) {
	h, q, ok := v.PairOf("at", quantity.FootHead, quantity.PSI, quantity.GallonPerMinute)
	if !ok {
		return PowerLaw{}, false
	}
	if !(h.SI > 0 && q.SI > 0) {
		v.Fail("%q: head and flow must be above zero", v.Text())
		return PowerLaw{}, false
	}
	return RatedPoint(q.SI, Meters(h, density), exponent), true
}

func (r *reader) pipe(m *document.Map) Part {
	p := Pipe{Length: m.Need("length", quantity.Foot, document.NotBelow)}
	p.Size = r.size(m)
	p.K = m.SIOr("k", quantity.One, document.NotBelow, 0)
	m.Map("fittings").Each(func(id string, v document.Value) {
		f, err := pipe.FittingNamed(id)
		if err != nil {
			v.Fail("%v", err)
			return
		}
		p.K += float64(v.Count(0, 10000)) * f.LossCoefficient(p.Size)
	})
	switch {
	case m.Has("insulation"):
		if m.Yes("bare") {
			m.Fail("a pipe is either bare or insulated")
		}
		thick := m.Need("insulation", quantity.Inch, document.Positive)
		p.Surface = insulated(p.Size, thick)
	case m.Yes("bare"):
		p.Surface = bare(p.Size)
	}
	return p
}

// Heat from pipes. Both figures are common practice: still air takes about
// 10 W/(m²·K) from a warm pipe, convection and radiation together, and foam or
// mineral wool conducts 0.04 W/(m·K).
const (
	surfaceTransfer = 10.0
	insulationWool  = 0.04
)

// bare is the heat that a bare pipe loses, W for each meter and K:  α π D.
func bare(s pipe.Size) float64 { return surfaceTransfer * math.Pi * s.Outside }

// insulated is the same for a pipe in insulation of a thickness (m):
//
//	1/U = ln(D_i/D)/(2 π λ) + 1/(α π D_i)
func insulated(s pipe.Size, thick float64) float64 {
	outer := s.Outside + 2*thick
	return 1 / (math.Log(outer/s.Outside)/(2*math.Pi*insulationWool) + 1/(surfaceTransfer*math.Pi*outer))
}

func (r *reader) size(m *document.Map) pipe.Size {
	if bore, ok := m.SI("bore", quantity.Inch, document.Positive); ok {
		s := pipe.Size{Nominal: "own", Bore: bore, Outside: bore}
		s.Roughness = m.SIOr("roughness", quantity.Millimeter, document.Range{Low: 0, High: 0.05 * bore}, 0)
		s.Outside = m.SIOr("outside", quantity.Inch, document.Range{Low: bore, High: 3 * bore}, bore)
		if m.Has("size") {
			m.Fail("give either the size of a table or the bore")
		}
		m.Has("material")
		return s
	}
	v, ok := m.Get("size")
	if !ok {
		m.Missing("size", "3/4 (with material: copper-m), or bore: 20 mm")
		return pipe.MustFind("copper-m", "3/4")
	}
	material := m.Text("material", "copper-m")
	s, err := pipe.Find(material, v.Text())
	if err != nil {
		var not *pipe.NotFoundError
		if errors.As(err, &not) && not.Name == material {
			if v, there := m.Get("material"); there {
				v.Fail("%v", err)
				return pipe.MustFind("copper-m", "3/4")
			}
		}
		v.Fail("%v", err)
		return pipe.MustFind("copper-m", "3/4")
	}
	return s
}

func (r *reader) resistance(m *document.Map) Part {
	if p, ok := r.rated(m); ok {
		return Loss{PowerLaw: p}
	}
	if m.Has("coefficient") {
		// In meters at m³/s: for figures from a textbook.
		k := m.Need("coefficient", quantity.One, document.NotBelow)
		return Loss{PowerLaw: PowerLaw{k, m.SIOr("exponent", quantity.One, document.Range{Low: 1, High: 2}, 2)}}
	}
	if !m.Has("loss") {
		m.Missing("loss", "9 ft at 10 gpm")
	}
	return Free
}

func (r *reader) named(m *document.Map, name string) Part {
	p, ok := r.rated(m)
	if !ok {
		p = Free.PowerLaw
	}
	return Loss{p, name}
}

func (r *reader) diverterTee(m *document.Map) Part {
	if !m.Has("loss") {
		m.Missing("loss", "0.6 ft at 4 gpm")
	}
	return r.named(m, "diverter-tee")
}
func (r *reader) closeTees(m *document.Map) Part { return r.named(m, "close-tees") }
func (r *reader) separator(m *document.Map) Part { return r.named(m, "separator") }

func (r *reader) valve(m *document.Map) Part {
	v := Valve{Open: r.coefficient(m), Lift: m.SIOr("opening", quantity.Percent, document.Share, 1)}
	rangeability := m.SIOr("rangeability", quantity.One, document.Range{Low: 2, High: 1000}, 50)
	var c valve.Characteristic
	var err error
	switch m.Choice("characteristic", "proportional", "linear", "equal-percentage") {
	case "linear":
		c, err = valve.Linear(rangeability)
	case "equal-percentage":
		c, err = valve.EqualPercentage(rangeability)
	default:
		return v
	}
	if err != nil {
		m.Fail("%v", err)
	}
	v.Characteristic = &c
	return v
}

func (r *reader) balancing(m *document.Map) Part {
	return Valve{Open: r.coefficient(m), Lift: m.SIOr("setting", quantity.Percent, document.Share, 1), Balancing: true}
}

func (r *reader) check(m *document.Map) Part {
	return Check{r.coefficient(m), r.headOr(m, "opens", 0)}
}

func (r *reader) limiter(m *document.Map) Part {
	l := Limiter{m.Need("flow", quantity.GallonPerMinute, document.Positive), r.needHead(m, "from"), r.needHead(m, "to")}
	if !(l.To > l.From && l.From > 0) {
		m.Fail("the range of differences must rise from above zero")
	}
	return l
}

func (r *reader) bypass(m *document.Map) Part {
	b := Bypass{r.coefficient(m), r.needHead(m, "set"), r.needHead(m, "band")}
	if !(b.Band > 0) {
		m.Fail("a bypass needs a band above zero, over which it opens")
	}
	return b
}

func (r *reader) radiatorValve(m *document.Map) Part {
	return RadiatorValve{r.coefficient(m), r.roomName(m), temperature(m, "set", 20),
		quantity.Kelvin(m.SIOr("band", quantity.FahrenheitDifference, document.Range{Low: 0.1, High: 20}, 2))}
}

func (r *reader) roomName(m *document.Map) string {
	name := m.Text("room", "")
	if name == "" {
		m.Missing("room", "hall")
	}
	return name
}

func (r *reader) circulator(m *document.Map) Part {
	c := Circulator{Curve: r.curve(m), Speed: m.SIOr("speed", quantity.Percent, document.Range{Low: 0, High: 1.5}, 1), Check: m.Yes("check")}
	c.Least = m.SIOr("least-speed", quantity.Percent, document.Range{Low: 0.05, High: 1}, 0.3)
	switch m.Choice("mode", "constant-speed", "constant-difference", "proportional-difference", "constant-drop") {
	case "constant-difference":
		c.Mode, c.Set = ConstantDifference, r.needHead(m, "set")
	case "proportional-difference":
		c.Mode, c.Set = ProportionalDifference, r.needHead(m, "set")
		c.Rated = m.Need("rated", quantity.GallonPerMinute, document.Positive)
	case "constant-drop":
		c.Mode = ConstantDrop
		c.Drop = quantity.Kelvin(m.Need("drop", quantity.FahrenheitDifference, document.Positive))
		c.Warm, c.Cool = m.Text("warm", ""), m.Text("cool", "")
	}
	return c
}

func (r *reader) curve(m *document.Map) circulator.Curve {
	fallback := circulator.Demo()[0].Curve
	if v, ok := m.Get("model"); ok {
		if m.Has("curve") {
			m.Fail("give either a model of the demo set or a curve")
		}
		found, ok := circulator.DemoNamed(v.Text())
		if !ok {
			var ids []string
			for _, d := range circulator.Demo() {
				ids = append(ids, d.ID)
			}
			v.Fail("no demo circulator %q; known are %s", v.Text(), strings.Join(ids, ", "))
			return fallback
		}
		return found.Curve
	}
	v, ok := m.Get("curve")
	if !ok {
		m.Missing("curve", "[18 ft at 0 gpm, 15 ft at 6 gpm, 8 ft at 12 gpm]")
		return fallback
	}
	c, ok := ReadCurve(v, r.water.Density)
	if !ok {
		return fallback
	}
	return c
}

// ReadCurve reads a list of points such as "15 ft at 6 gpm using 60 W". A head
// written as a pressure is that of water of a density (kg/m³). Mistakes are
// noted at the value; ok is false after one.
func ReadCurve(v document.Value, density float64) (c circulator.Curve, ok bool) {
	var points []circulator.Point
	for _, e := range v.List() {
		var power float64
		if point, using, found := e.Cut("using"); found {
			power, _ = using.SI(quantity.Watt, document.Positive)
			e = point
		}
		h, q, ok := e.PairOf("at", quantity.FootHead, quantity.PSI, quantity.GallonPerMinute)
		if !ok {
			return c, false
		}
		points = append(points, circulator.Point{Flow: q.SI, Head: quantity.MetersHead(Meters(h, density)), Power: power})
	}
	c, err := circulator.NewCurve(points...)
	if err != nil {
		v.Fail("%v", err)
	}
	return c, err == nil
}

func (r *reader) boiler(m *document.Map) Part {
	s := Source{Limit: temperature(m, "limit", 95)}
	s.Loss, _ = r.rated(m)
	s.Most = m.SIOr("most", quantity.BTUPerHour, document.Positive, 0)
	switch {
	case m.Has("supply") == m.Has("output"):
		m.Fail("a boiler has either a supply temperature that it holds (supply: 180 degF) or a fixed output (output: 60,000 BTU/h)")
	case m.Has("supply"):
		t := temperature(m, "supply", 80)
		s.Supply = &t
	default:
		s.Output = m.Need("output", quantity.BTUPerHour, document.NotBelow)
	}
	if v, ok := m.Get("efficiency"); ok {
		e := r.efficiency(v)
		s.Efficiency = &e
	}
	return s
}

func (r *reader) efficiency(v document.Value) boiler.Efficiency {
	if v.IsText() && v.Text() == "demo" {
		return boiler.Demo()
	}
	var points []boiler.Point
	for _, e := range v.List() {
		eta, back, ok := e.Pair("at", quantity.Percent, quantity.Fahrenheit)
		if !ok {
			return boiler.Demo()
		}
		points = append(points, boiler.Point{Back: quantity.Celsius(back.SI), Efficiency: eta.SI})
	}
	curve, err := boiler.NewEfficiency(points...)
	if err != nil {
		v.Fail("%v; write demo for the invented curve", err)
		return boiler.Demo()
	}
	return curve
}

func (r *reader) radiator(m *document.Map) Part {
	p := Radiator{Room: r.roomName(m)}
	p.Loss, _ = r.rated(m)
	var err error
	switch m.Choice("type", "rated", "panel", "fin-tube", "cast-iron") {
	case "panel":
		p.Emitter, err = emitter.Panel(m.Need("output", quantity.Watt, document.Positive), m.SIOr("n", quantity.One, document.Range{Low: 1, High: 2}, emitter.PanelExponent))
	case "cast-iron":
		p.Emitter, err = emitter.CastIron(m.Need("edr", quantity.One, document.Positive))
	case "fin-tube":
		p.Emitter, p.Air, err = r.finTube(m)
	default:
		e := emitter.Emitter{Output: m.Need("output", quantity.BTUPerHour, document.Positive), Exponent: m.SIOr("n", quantity.One, document.Range{Low: 1, High: 2}, emitter.PanelExponent)}
		supply, back, room := temperature(m, "supply", math.MaxInt8), temperature(m, "return", math.MaxInt8), temperature(m, "indoor", 20)
		if !m.Has("supply") || !m.Has("return") || !m.Has("indoor") {
			m.Fail("a rated radiator needs the temperatures of its rating: supply, return and indoor")
			return p
		}
		e.Excess, e.Drop = emitter.ArithmeticExcess(supply, back, room), supply.Minus(back)
		err = e.Check()
		p.Emitter = e
	}
	if err != nil {
		m.Fail("%v", err)
	}
	return p
}

// finTube is fin-tube by length and rating. Its rating holds for air that
// enters at 65 °F below a room of 70 °F: the difference is kept.
func (r *reader) finTube(m *document.Map) (emitter.Emitter, quantity.Kelvin, error) {
	element := emitter.DemoFinTube()
	if v, ok := m.Get("rating"); ok {
		rate, mean, ok := v.Pair("at", quantity.BTUPerHourFoot, quantity.Fahrenheit)
		if ok {
			var err error
			if element, err = emitter.FinTube(rate.SI, quantity.Celsius(mean.SI)); err != nil {
				return emitter.Emitter{}, 0, err
			}
		}
	}
	e := element.Length(m.Need("length", quantity.Foot, document.Positive))
	return e, quantity.Kelvin(quantity.FahrenheitDifference.ToSI(5)), e.Check()
}
