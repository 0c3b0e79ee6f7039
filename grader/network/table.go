package network

import (
	"fmt"
	"math"

	"loopwright/grader/quantity"
)

// Table is a part of a result for people: on a terminal or a page.
type Table struct {
	Title  string
	Head   []string
	Rows   [][]string
	Number []bool // which columns hold numbers
}

// Shown are the units in which a system of units shows each kind.
type Shown struct {
	Flow, Head, Pressure, Temperature, Heat, Velocity, Electric, Length *quantity.Unit
}

// Shown are the units of the system.
func (u Units) Shown() Shown {
	if u == SI {
		return Shown{quantity.LiterPerSecond, quantity.MeterHead, quantity.Kilopascal, quantity.CelsiusUnit, quantity.Watt, quantity.MeterPerSecond, quantity.Watt, quantity.Meter}
	}
	return Shown{quantity.GallonPerMinute, quantity.FootHead, quantity.PSI, quantity.Fahrenheit, quantity.BTUPerHour, quantity.FootPerSecond, quantity.Watt, quantity.Foot}
}

func show(si float64, u *quantity.Unit) string {
	if math.IsNaN(si) {
		return "–"
	}
	return quantity.FromSI(si, u).Figures()
}

// Tables are the results as people read them.
func (s *Solution) Tables(u Units) []Table {
	w := u.Shown()
	tables := []Table{s.linkTable(w), s.nodeTable(w)}
	if len(s.Rooms) > 0 {
		tables = append(tables, s.roomTable(w))
	}
	if len(s.Circulators) > 0 {
		tables = append(tables, s.circulatorTable(w))
	}
	if len(s.Warnings) > 0 {
		t := Table{Title: "Look at", Head: []string{"where", "what"}, Number: make([]bool, 2)}
		for _, x := range s.Warnings {
			t.Rows = append(t.Rows, []string{x.At, x.Text})
		}
		tables = append(tables, t)
	}
	return tables
}

func (s *Solution) linkTable(w Shown) Table {
	t := Table{Title: "Links", Head: []string{"link", "kind", "flow " + w.Flow.Symbol, "velocity " + w.Velocity.Symbol, "head loss " + w.Head.Symbol}, Number: []bool{false, false, true, true, true}}
	if s.Solved {
		t.Head = append(t.Head, "in "+w.Temperature.Symbol, "out "+w.Temperature.Symbol, "heat given "+w.Heat.Symbol)
		t.Number = append(t.Number, true, true, true)
	}
	t.Head, t.Number = append(t.Head, "state"), append(t.Number, false)
	for _, l := range s.Links {
		velocity := ""
		if l.Kind == "pipe" {
			velocity = show(l.Velocity, w.Velocity)
		}
		row := []string{l.ID, l.Kind, show(l.Flow, w.Flow), velocity, show(float64(l.HeadLoss), w.Head)}
		if s.Solved {
			heat := ""
			if l.Heat != 0 {
				heat = show(l.Heat, w.Heat)
			}
			row = append(row, show(float64(l.In), w.Temperature), show(float64(l.Out), w.Temperature), heat)
		}
		t.Rows = append(t.Rows, append(row, l.state()))
	}
	return t
}

// state is how a link stands, in words.
func (l LinkResult) state() string {
	switch {
	case l.Shut:
		return "shut"
	case l.Fuel > 0:
		return fmt.Sprintf("burns at %.1f %%", 100*l.Efficiency)
	case l.hasLift() && l.Lift < 1:
		return fmt.Sprintf("%.0f %% open", 100*l.Lift)
	}
	return ""
}

func (s *Solution) nodeTable(w Shown) Table {
	t := Table{Title: "Nodes", Head: []string{"node", "height " + w.Length.Symbol, "head " + w.Head.Symbol, "pressure " + w.Pressure.Symbol}, Number: []bool{false, true, true, true}}
	if s.Solved {
		t.Head, t.Number = append(t.Head, "temperature "+w.Temperature.Symbol), append(t.Number, true)
	}
	for _, n := range s.Nodes {
		row := []string{n.ID, show(n.Elevation, w.Length), show(float64(n.Head), w.Head), show(float64(n.Pressure), w.Pressure)}
		if n.Loose {
			row[2], row[3] = "–", "–"
		}
		if s.Solved {
			row = append(row, show(float64(n.Temperature), w.Temperature))
		}
		t.Rows = append(t.Rows, row)
	}
	return t
}

func (s *Solution) roomTable(w Shown) Table {
	t := Table{Title: "Rooms", Head: []string{"room", "temperature " + w.Temperature.Symbol, "heat " + w.Heat.Symbol, "of design"}, Number: []bool{false, true, true, true}}
	for _, r := range s.Rooms {
		share := ""
		if r.Share > 0 {
			share = quantity.Of(100*r.Share, quantity.Percent).Text()
		}
		t.Rows = append(t.Rows, []string{r.ID, show(float64(r.Temperature), w.Temperature), show(r.Heat, w.Heat), share})
	}
	return t
}

func (s *Solution) circulatorTable(w Shown) Table {
	t := Table{Title: "Circulators", Head: []string{"circulator", "flow " + w.Flow.Symbol, "head " + w.Head.Symbol, "speed", "power W", "efficiency", "suction " + w.Pressure.Symbol}, Number: []bool{false, true, true, true, true, true, true}}
	percent := func(share float64) string {
		if share <= 0 {
			return "–"
		}
		return quantity.Of(100*share, quantity.Percent).Text()
	}
	for _, c := range s.Circulators {
		power := "–"
		if c.Power > 0 {
			power = show(c.Power, w.Electric)
		}
		t.Rows = append(t.Rows, []string{c.ID, show(c.Flow, w.Flow), show(float64(c.Head), w.Head), percent(c.Speed), power, percent(c.Efficiency), show(float64(c.Suction), w.Pressure)})
	}
	return t
}
