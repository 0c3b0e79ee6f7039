package sizing

import (
	"math"

	"loopwright/grader/circulator"
	"loopwright/grader/document"
	"loopwright/grader/fluid"
	"loopwright/grader/network"
	"loopwright/grader/pipe"
	"loopwright/grader/quantity"
)

// Read makes a job of the text of a job file: README describes the form. What a
// file leaves out is taken from [Defaults]. Errors are *document.Error with
// every mistake and its line.
func Read(name string, text []byte) (*Job, error) {
	doc, err := document.Parse(name, text)
	if err != nil {
		return nil, err
	}
	m := doc.Root()
	j := Defaults(network.Units(m.Choice("units", string(network.US), string(network.SI))))
	j.Title = m.Text("title", "")
	layouts := make([]string, 0, 7)
	for _, l := range Layouts() {
		layouts = append(layouts, string(l))
	}
	j.Layout = Layout(m.Choice("layout", layouts...))
	j.Emitter = m.Choice("emitter", j.Emitter, FinTube, CastIron, Panel)
	j.Trim = Trim(m.Choice("trim", string(ByValve), string(BySpeed)))
	j.Controls = m.Yes("thermostatic-valves")
	readTemperatures(m, &j)
	readPipe(m, &j)
	readPlant(m, &j)
	indoor := quantity.Celsius(m.SIOr("indoor", quantity.Fahrenheit, document.Range{Low: -20, High: 50}, math.NaN()))
	m.Map("rooms").Each(func(id string, v document.Value) { j.Rooms = append(j.Rooms, readRoom(id, v.Map(), indoor, j.Layout)) })
	if len(j.Rooms) == 0 {
		m.Missing("rooms", "{hall: {load: 6000 BTU/h, distance: 12 ft, branch: 6 ft}}")
	}
	m.Done()
	if doc.Err() == nil {
		if err := j.check(); err != nil {
			m.Fail("%v", err)
		}
	}
	return &j, doc.Err()
}

func readTemperatures(m *document.Map, j *Job) {
	celsius := document.Range{Low: -60, High: 120}
	j.Supply = quantity.Celsius(m.SIOr("supply", quantity.Fahrenheit, document.Range{Low: 20, High: 120}, float64(j.Supply)))
	j.Drop = quantity.Kelvin(m.SIOr("drop", quantity.FahrenheitDifference, document.Positive, float64(j.Drop)))
	j.Cold = quantity.Celsius(m.SIOr("fill-temperature", quantity.Fahrenheit, document.Range{Low: 0.1, High: 60}, float64(j.Cold)))
	j.Outdoor = quantity.Celsius(m.Need("outdoor", quantity.Fahrenheit, celsius))
	j.BoilerDrop = quantity.Kelvin(m.SIOr("boiler-drop", quantity.FahrenheitDifference, document.Positive, 0))
}

func readPipe(m *document.Map, j *Job) {
	j.Material = m.Text("material", j.Material)
	if _, err := pipe.MaterialNamed(j.Material); err != nil {
		v, _ := m.Get("material")
		v.Fail("%v", err)
		j.Material = "copper-m"
	}
	j.Main = m.SIOr("main", quantity.Foot, document.NotBelow, 0)
	j.Home = m.SIOr("home", quantity.Foot, document.NotBelow, 0)
	j.Fittings = m.SIOr("fittings", quantity.Percent, document.Range{Low: 0, High: 3}, j.Fittings)
	limits := m.Map("limits")
	j.Limits.Velocity = limits.SIOr("velocity", quantity.FootPerSecond, document.Positive, j.Limits.Velocity)
	j.Limits.Friction = limits.SIOr("friction", quantity.FootPerHundredFeet, document.Positive, j.Limits.Friction)
	if v, ok := limits.Get("smallest"); ok {
		if s, err := pipe.Find(j.Material, v.Text()); err != nil {
			v.Fail("%v", err)
		} else {
			j.Limits.Least = s.DN
		}
	}
	limits.Done()
	j.Branch = m.SIOr("tee-share", quantity.Percent, document.Range{Low: 0.02, High: 0.9}, j.Branch)
}

func readPlant(m *document.Map, j *Job) {
	// A head written as a pressure is that of warm water.
	w, err := fluid.NearWater().At(j.reference())
	if err != nil {
		m.Fail("%v", err)
		return
	}
	loss := func(f *document.Map, into *network.PowerLaw) {
		if v, ok := f.Get("loss"); ok {
			if p, ok := network.ReadRated(v, 2, w.Density); ok {
				*into = p
			}
		}
	}
	b := m.Map("boiler")
	loss(b, &j.BoilerLoss)
	j.BoilerVolume = b.SIOr("volume", quantity.Gallon, document.NotBelow, j.BoilerVolume)
	b.Done()
	e := m.Map("radiators")
	loss(e, &j.EmitterLoss)
	e.Done()
	head := func(key string, otherwise float64) float64 {
		v, ok := m.Get(key)
		if !ok {
			return otherwise
		}
		q, ok := v.Either(quantity.FootHead, quantity.PSI)
		if ok && !(q.SI > 0) {
			v.Fail("%s must be above zero", q.Exact())
			return otherwise
		}
		return network.Meters(q, w.Density)
	}
	j.ValveDrop, j.ControlDrop = head("balancing-drop", j.ValveDrop), head("valve-drop", j.ControlDrop)
	j.Height = m.SIOr("height", quantity.Foot, document.NotBelow, 0)
	j.Relief = quantity.Pascal(m.SIOr("relief", quantity.PSI, document.Positive, float64(j.Relief)))
	j.TopMargin = quantity.Pascal(m.SIOr("top-margin", quantity.PSI, document.NotBelow, float64(j.TopMargin)))
	c := m.Map("circulators")
	var own []circulator.Model
	c.Each(func(id string, v document.Value) {
		curve, ok := network.ReadCurve(v, w.Density)
		if !ok {
			return
		}
		own = append(own, circulator.Model{ID: id, Name: id, Curve: curve})
	})
	if len(own) > 0 {
		j.Circulators = own
	}
}

func readRoom(id string, m *document.Map, indoor quantity.Celsius, layout Layout) Room {
	r := Room{ID: id, Load: m.Need("load", quantity.BTUPerHour, document.Positive)}
	r.Indoor = quantity.Celsius(m.SIOr("indoor", quantity.Fahrenheit, document.Range{Low: -20, High: 50}, float64(indoor)))
	if math.IsNaN(float64(r.Indoor)) {
		m.Missing("indoor", "70 degF (or once for the whole job)")
	}
	r.Distance = m.SIOr("distance", quantity.Foot, document.NotBelow, 0)
	r.Branch = m.SIOr("branch", quantity.Foot, document.NotBelow, 0)
	if layout != Manifold && !m.Has("distance") {
		m.Missing("distance", "12 ft (along the main, from the room before)")
	}
	if layout != Series && layout != Split && !m.Has("branch") {
		m.Missing("branch", "6 ft (one way, from the main to the radiator)")
	}
	if v, ok := m.Get("loop"); ok {
		r.Loop = v.Count(1, 20)
	}
	m.Done()
	return r
}
