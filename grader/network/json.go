package network

import (
	"encoding/json"
	"math"
)

// The stable form of a solution: SI, with the unit in each name. Its schema is
// solution.schema.json beside this file. What was not solved or has no meaning
// for a link is left out.
type wire struct {
	Title       string           `json:"title,omitempty"`
	Nodes       []wireNode       `json:"nodes"`
	Links       []wireLink       `json:"links"`
	Rooms       []wireRoom       `json:"rooms"`
	Circulators []wireCirculator `json:"circulators"`
	Warnings    []wireWarning    `json:"warnings"`
	Proof       wireProof        `json:"proof"`
}

type wireNode struct {
	ID          string   `json:"id"`
	Elevation   float64  `json:"elevation_m"`
	Head        float64  `json:"head_m"`
	Pressure    float64  `json:"pressure_pa"`
	Temperature *float64 `json:"temperature_c,omitempty"`
	CutOff      bool     `json:"cut_off,omitempty"`
}

type wireLink struct {
	ID         string   `json:"id"`
	Kind       string   `json:"kind"`
	From       string   `json:"from"`
	To         string   `json:"to"`
	Flow       float64  `json:"flow_m3_s"`
	Mass       float64  `json:"mass_flow_kg_s"`
	Velocity   *float64 `json:"velocity_m_s,omitempty"`
	Reynolds   *float64 `json:"reynolds,omitempty"`
	HeadLoss   float64  `json:"head_loss_m"`
	In         *float64 `json:"temperature_in_c,omitempty"`
	Out        *float64 `json:"temperature_out_c,omitempty"`
	Heat       *float64 `json:"heat_w,omitempty"`
	Shut       bool     `json:"shut,omitempty"`
	Lift       *float64 `json:"lift,omitempty"`
	Fuel       *float64 `json:"fuel_w,omitempty"`
	Efficiency *float64 `json:"efficiency,omitempty"`
}

type wireRoom struct {
	ID          string   `json:"id"`
	Temperature float64  `json:"temperature_c"`
	Heat        float64  `json:"heat_w"`
	Share       *float64 `json:"share_of_design,omitempty"`
}

type wireCirculator struct {
	ID         string   `json:"id"`
	Flow       float64  `json:"flow_m3_s"`
	Head       float64  `json:"head_m"`
	Speed      float64  `json:"speed"`
	Power      *float64 `json:"power_w,omitempty"`
	Efficiency *float64 `json:"efficiency,omitempty"`
	Suction    float64  `json:"suction_pressure_pa"`
	Margin     float64  `json:"suction_above_boiling_pa"`
}

type wireWarning struct {
	Concern Concern `json:"concern"`
	At      string  `json:"at"`
	Text    string  `json:"text"`
}

type wireProof struct {
	Passes     int     `json:"passes"`
	Iterations int     `json:"iterations"`
	Mass       float64 `json:"mass_error"`
	Head       float64 `json:"head_error"`
	Heat       float64 `json:"heat_error"`
}

// MarshalJSON writes the stable form.
func (s *Solution) MarshalJSON() ([]byte, error) {
	known := func(there bool, v float64) *float64 {
		if !there || math.IsNaN(v) {
			return nil
		}
		return &v
	}
	w := wire{Title: s.Title, Nodes: []wireNode{}, Links: []wireLink{}, Rooms: []wireRoom{}, Circulators: []wireCirculator{}, Warnings: []wireWarning{},
		Proof: wireProof{s.Proof.Passes, s.Proof.Iterations, s.Proof.Mass, s.Proof.Head, s.Proof.Heat}}
	for _, n := range s.Nodes {
		w.Nodes = append(w.Nodes, wireNode{n.ID, n.Elevation, float64(n.Head), float64(n.Pressure), known(s.Solved, float64(n.Temperature)), n.Loose})
	}
	for _, l := range s.Links {
		bore := l.Kind == "pipe"
		w.Links = append(w.Links, wireLink{l.ID, l.Kind, l.From, l.To, l.Flow, l.Mass, known(bore, l.Velocity), known(bore, l.Reynolds), float64(l.HeadLoss),
			known(s.Solved, float64(l.In)), known(s.Solved, float64(l.Out)), known(s.Solved, l.Heat), l.Shut, known(l.hasLift(), l.Lift),
			known(l.Fuel > 0, l.Fuel), known(l.Fuel > 0, l.Efficiency)})
	}
	for _, r := range s.Rooms {
		w.Rooms = append(w.Rooms, wireRoom{r.ID, float64(r.Temperature), r.Heat, known(r.Share > 0, r.Share)})
	}
	for _, c := range s.Circulators {
		w.Circulators = append(w.Circulators, wireCirculator{c.ID, c.Flow, float64(c.Head), c.Speed, known(c.Power > 0, c.Power), known(c.Efficiency > 0, c.Efficiency), float64(c.Suction), float64(c.Margin)})
	}
	for _, x := range s.Warnings {
		w.Warnings = append(w.Warnings, wireWarning(x))
	}
	return json.Marshal(w)
}

// hasLift says whether the link is a valve that stands somewhere.
func (l LinkResult) hasLift() bool {
	switch l.Kind {
	case "valve", "balancing", "radiator-valve", "bypass", "mixing":
		return true
	}
	return false
}
