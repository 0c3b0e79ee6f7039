package exercises

import (
	"bytes"
	"encoding/json"
	"errors"
	"fmt"

	"loopwright/grader"
	"loopwright/grader/quantity"
)

// System is a system of units that problems are native in.
type System string

// The systems of units.
const (
	US System = "us" // gpm, BTU/h, ft of head, psi, °F, nominal inches
	SI System = "si" // L/s, kW, kPa, °C and K, DN and mm
)

// Problem is one posed problem with everything that showing and marking it
// needs. It is what pose prints, and what is stored with every attempt.
type Problem struct {
	Family    string        `json:"family"`
	Title     string        `json:"title"`
	Seed      uint64        `json:"seed"`
	Level     int           `json:"level"`
	Units     System        `json:"units"`
	Skills    []string      `json:"skills"`
	Statement string        `json:"statement"`
	Givens    Givens        `json:"givens"`
	Parts     []grader.Part `json:"parts"`
	Steps     []Step        `json:"steps"`
	// Rule is the trade's rule of thumb beside the engine's answer, where a
	// rule applies.
	Rule     *RuleAgainstEngine `json:"rule_against_engine,omitempty"`
	Cautions []string           `json:"cautions,omitempty"`
	Sources  []string           `json:"sources"`
}

// Given is a value that the problem states.
type Given struct {
	Name  string // as used in formulas
	Label string
	Value quantity.Quantity
	// Looked is the table or standard the value was looked up in; empty for
	// what the situation gives.
	Looked string
}

// Givens keep their order; in JSON they are an object by name.
type Givens []Given

// givenExtra is what a given's JSON holds besides its quantity.
type givenExtra struct {
	Label  string `json:"label"`
	Looked string `json:"looked_up_in,omitempty"`
}

// MarshalJSON writes an object in the order of the givens.
func (g Givens) MarshalJSON() ([]byte, error) {
	var b bytes.Buffer
	b.WriteByte('{')
	for i, one := range g {
		if i > 0 {
			b.WriteByte(',')
		}
		name, err := json.Marshal(one.Name)
		if err != nil {
			return nil, err
		}
		value, err := json.Marshal(one.Value)
		if err != nil {
			return nil, err
		}
		extra, err := json.Marshal(givenExtra{one.Label, one.Looked})
		if err != nil {
			return nil, err
		}
		b.Write(name)
		b.WriteByte(':')
		b.Write(value[:len(value)-1]) // the two objects become one
		b.WriteByte(',')
		b.Write(extra[1:])
	}
	b.WriteByte('}')
	return b.Bytes(), nil
}

// UnmarshalJSON reads what MarshalJSON wrote and keeps the order.
func (g *Givens) UnmarshalJSON(data []byte) error {
	d := json.NewDecoder(bytes.NewReader(data))
	if t, err := d.Token(); err != nil || t != json.Delim('{') {
		return fmt.Errorf("givens: expected an object, got %v (%v)", t, err)
	}
	*g = nil
	for d.More() {
		t, err := d.Token()
		if err != nil {
			return err
		}
		var raw json.RawMessage
		if err := d.Decode(&raw); err != nil {
			return err
		}
		one := Given{Name: t.(string)}
		var extra givenExtra
		if err := errors.Join(json.Unmarshal(raw, &one.Value), json.Unmarshal(raw, &extra)); err != nil {
			return fmt.Errorf("given %s: %w", one.Name, err)
		}
		one.Label, one.Looked = extra.Label, extra.Looked
		*g = append(*g, one)
	}
	return nil
}

// Step is one line of the worked solution.
type Step struct {
	Symbol      string            `json:"symbol"`
	Name        string            `json:"name"`
	Because     string            `json:"because,omitempty"`
	Expression  string            `json:"expression"`  // as package formula reads it
	Formula     string            `json:"formula"`     // f = Q / (500 × ΔT)
	Substituted string            `json:"substituted"` // f = 60,000 / (500 × 20)
	Result      quantity.Quantity `json:"result"`
}

// RuleAgainstEngine sets a rule of thumb beside the full calculation.
type RuleAgainstEngine struct {
	RuleID string            `json:"rule_id"`
	Name   string            `json:"name"` // what the rule is called
	Rule   quantity.Quantity `json:"rule"`
	Engine quantity.Quantity `json:"engine"`
	Why    string            `json:"why"` // why the two differ
}

// Difference is how far the rule lies from the engine, relative to the engine.
func (r *RuleAgainstEngine) Difference() float64 { return r.Rule.SI/r.Engine.SI - 1 }

// MaxScore is what the parts can earn together; scores are shares of it.
func (p *Problem) MaxScore() float64 {
	var sum float64
	for _, part := range p.Parts {
		sum += part.Weight
	}
	return sum
}
