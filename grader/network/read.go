package network

import (
	"fmt"
	"math"

	"loopwright/grader/document"
	"loopwright/grader/fluid"
	"loopwright/grader/quantity"
)

// Read makes a system of the text of a system file: README describes the form.
// name stands in its errors, which are *document.Error with every mistake and
// its line. The file says in which units results are best shown.
func Read(name string, text []byte) (*System, Units, error) {
	doc, err := document.Parse(name, text)
	if err != nil {
		return nil, US, err
	}
	r := &reader{root: doc.Root(), system: &System{}, lines: map[string]document.Value{}}
	r.read()
	if err := doc.Err(); err != nil {
		return nil, US, err
	}
	// How it hangs together is checked with the lines at hand.
	var topology *TopologyError
	if _, err := Prepare(r.system); asTopology(err, &topology) {
		for _, p := range topology.Problems {
			r.at(p).Fail("%s", p)
		}
		return nil, US, doc.Err()
	} else if err != nil {
		r.root.Fail("%v", err)
		return nil, US, doc.Err()
	}
	return r.system, r.units, nil
}

// Units are a system of units to show results in.
type Units string

// The systems of units.
const (
	US Units = "US"
	SI Units = "SI"
)

type reader struct {
	root     *document.Map
	system   *System
	units    Units
	water    fluid.Properties
	defaults *document.Map
	lines    map[string]document.Value // where a link or node is described
}

func (r *reader) read() {
	m, s := r.root, r.system
	s.Title = m.Text("title", "")
	r.units = Units(m.Choice("units", string(US), string(SI)))
	s.Temperatures, s.Buoyancy = m.Yes("temperatures"), m.Yes("buoyancy")
	s.Water = temperature(m, "water", 60)
	s.Air = temperature(m, "air", 20)
	w, err := fluid.NearWater().At(s.Water)
	if err != nil {
		v, _ := m.Get("water")
		v.Fail("%v", err)
		w, _ = fluid.NearWater().At(60)
	}
	r.water = w
	r.rooms(m.Map("rooms"))
	r.nodes(m.Map("nodes"))
	r.defaults = m.Map("defaults")
	links := m.Map("links")
	links.Each(func(id string, v document.Value) {
		r.lines[id] = v
		r.link(id, v.Map().Under(r.defaults))
	})
	r.defaults.Done()
	if v, there := m.Get("links"); len(s.Links) == 0 && (!there || v.IsText()) {
		m.Missing("links", "{boiler: {kind: boiler, from: back, to: out, supply: 180 degF}}")
	}
	m.Done()
}

func temperature(m *document.Map, key string, otherwise quantity.Celsius) quantity.Celsius {
	return quantity.Celsius(m.SIOr(key, quantity.Fahrenheit, document.Range{Low: -60, High: 150}, float64(otherwise)))
}

func (r *reader) rooms(m *document.Map) {
	s := r.system
	outdoor := math.NaN()
	differ := false
	m.Each(func(id string, v document.Value) {
		f := v.Map()
		room := Room{ID: id, Indoor: quantity.Celsius(f.Need("indoor", quantity.Fahrenheit, document.Range{Low: -60, High: 150}))}
		room.Gain = f.SIOr("gain", quantity.BTUPerHour, document.NotBelow, 0)
		if load, ok := f.SI("load", quantity.BTUPerHour, document.Positive); ok {
			room.Design = load
			if f.Has("outdoor") {
				out := float64(temperature(f, "outdoor", 0))
				if out >= float64(room.Indoor) {
					f.Fail("the design outdoor temperature must lie below the indoor temperature")
				}
				differ = differ || !math.IsNaN(outdoor) && out != outdoor
				outdoor = out
				room.Loss = load / (float64(room.Indoor) - out)
			}
		}
		if f.Has("loss") {
			if room.Loss > 0 {
				f.Fail("give either the loss, or the load with its outdoor temperature")
			}
			room.Loss = f.Need("loss", quantity.BTUPerHourDegree, document.Positive)
		}
		f.Done()
		s.Rooms = append(s.Rooms, room)
	})
	losing := false
	for _, room := range s.Rooms {
		losing = losing || room.Loss > 0
	}
	s.Outdoor = quantity.Celsius(outdoor)
	switch {
	case r.root.Has("outdoor"):
		s.Outdoor = temperature(r.root, "outdoor", 0)
	case differ || losing && math.IsNaN(outdoor):
		r.root.Missing("outdoor", "10 degF")
		s.Outdoor = 0
	}
}

func (r *reader) nodes(m *document.Map) {
	m.Each(func(id string, v document.Value) {
		r.lines[id] = v
		f := v.Map()
		n := Node{ID: id}
		n.Elevation, _ = f.SI("elevation", quantity.Foot, document.Range{Low: -1000, High: 1000})
		if q, ok := f.Get("pressure"); ok {
			if p, ok := q.Either(quantity.PSI, quantity.FootHead); ok {
				held := quantity.Pascal(p.SI)
				if p.Kind() == quantity.Head {
					held = quantity.MetersHead(p.SI).Pressure(r.water.Density)
				}
				n.Hold = &held
			}
		}
		if h, ok := f.SI("head", quantity.FootHead, document.Range{Low: -1000, High: 10000}); ok {
			if n.Hold != nil {
				f.Fail("give either the pressure or the head that is held")
			}
			held := quantity.MetersHead(h - n.Elevation).Pressure(r.water.Density)
			n.Hold = &held
		}
		n.Inflow, _ = f.SI("inflow", quantity.GallonPerMinute, document.Range{})
		n.Enters = temperature(f, "temperature", r.system.Water)
		if n.Inflow != 0 && n.Hold != nil {
			f.Fail("a node whose pressure is held takes what flows by itself; leave the inflow out")
		}
		f.Done()
		r.system.Nodes = append(r.system.Nodes, n)
	})
}

func (r *reader) link(id string, m *document.Map) {
	kind := m.Text("kind", "")
	if kind == "run" {
		r.run(id, m)
		return
	}
	if kind == "mixing" {
		r.mixing(id, m)
		return
	}
	from, to := r.ends(m)
	if l, ok := r.part(id, kind, m); ok {
		l.ID, l.From, l.To = id, from, to
		r.system.Links = append(r.system.Links, l)
	}
	m.Done()
}

func (r *reader) ends(m *document.Map) (from, to string) {
	from, to = m.Text("from", ""), m.Text("to", "")
	if from == "" {
		m.Missing("from", "boiler-out")
	}
	if to == "" {
		m.Missing("to", "boiler-out")
	}
	return from, to
}

// run is several parts one after the other; the nodes between them have the
// run's name and a number, and their heights lie on a line between the ends'.
func (r *reader) run(id string, m *document.Map) {
	from, to := r.ends(m)
	v, ok := m.Get("parts")
	if !ok {
		m.Missing("parts", "[{kind: pipe, size: 3/4, length: 20 ft}, {kind: radiator, …}]")
		m.Done()
		return
	}
	list := v.List()
	before := from
	low, high := r.elevation(from), r.elevation(to)
	seen := map[string]int{}
	for i, e := range list {
		f := e.Map().Under(r.defaults)
		after := fmt.Sprintf("%s/%d", id, i+1)
		if i == len(list)-1 {
			after = to
		} else if h := low + (high-low)*float64(i+1)/float64(len(list)); h != 0 {
			r.system.Nodes = append(r.system.Nodes, Node{ID: after, Elevation: h})
		}
		kind := f.Text("kind", "")
		seen[kind]++
		name := id + "." + kind
		if seen[kind] > 1 {
			name = fmt.Sprintf("%s-%d", name, seen[kind])
		}
		name = f.Text("id", name)
		r.lines[name] = e
		if l, ok := r.part(name, kind, f); ok {
			l.ID, l.From, l.To = name, before, after
			r.system.Links = append(r.system.Links, l)
		}
		f.Done()
		before = after
	}
	m.Done()
}

func (r *reader) elevation(id string) float64 {
	for _, n := range r.system.Nodes {
		if n.ID == id {
			return n.Elevation
		}
	}
	return 0
}

// mixing is the two ways into a mixing valve.
func (r *reader) mixing(id string, m *document.Map) {
	hot, cool, to := m.Text("hot", ""), m.Text("cool", ""), m.Text("to", "")
	for _, f := range []struct{ key, value string }{{"hot", hot}, {"cool", cool}, {"to", to}} {
		if f.value == "" {
			m.Missing(f.key, "boiler-out")
		}
	}
	p := Mixer{Open: r.coefficient(m), Valve: id, Node: to, Lift: m.SIOr("opening", quantity.Percent, document.Share, 0.5)}
	if m.Has("mixed") {
		if m.Has("opening") {
			m.Fail("a mixing valve is set either by its opening or by the temperature of the mixed water")
		}
		t := temperature(m, "mixed", 45)
		p.Mixed = &t
	}
	way := Link{ID: id + ".hot", From: hot, To: to, Part: p}
	way.Part = Mixer{Open: p.Open, Valve: id, Node: to, Lift: p.Lift, Mixed: p.Mixed, Hot: true}
	r.lines[id+".hot"], r.lines[id+".cool"] = m.Value, m.Value
	r.system.Links = append(r.system.Links, way, Link{ID: id + ".cool", From: cool, To: to, Part: p})
	m.Done()
}
