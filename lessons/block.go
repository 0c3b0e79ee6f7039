package lessons

import (
	"fmt"
	"maps"
	"math"

	"github.com/goccy/go-yaml"

	"loopwright/exercises"
	"loopwright/lessons/figure"
)

// FigureBlock is a live figure in a lesson:
//
//	```figure mains
//	model: two-pipe-mains
//	set: {near_valve: 100}
//	caption: Demo riser, six equal circuits.
//	```
type FigureBlock struct {
	ID      string
	Model   *figure.Model
	Caption string
	Start   figure.Input // the state that the lesson opens with
}

// PredictBlock asks what a change to a figure will do, before it is made. The
// engine decides which answer is right.
//
//	```predict mains
//	ask: Close floor 1 to half. What happens to the flow of floor 6?
//	set: {near_valve: 50}
//	measure: flow_6
//	rises: It rises
//	same: It stays the same
//	falls: It falls
//	because: Less flow in the mains loses less head on the way.
//	```
type PredictBlock struct {
	ID      string // unique in the lesson
	Figure  *FigureBlock
	Ask     string
	Options [3]PredictOption // rises, same, falls
	Right   string
	Before  float64
	After   float64
	Then    figure.Input // the state with the change made
	Because string
}

// PredictOption is one possible prediction.
type PredictOption struct{ ID, Text string }

// WorkedBlock is a worked example, generated like any problem:
//
//	```worked
//	family: flow-from-load
//	seed: 3
//	level: 2
//	```
type WorkedBlock struct {
	Problem *exercises.Problem
}

// samePercent is the change below which a prediction of "the same" is right.
// Demo value: nobody on a job would notice 1 %.
const samePercent = 0.01

// native is a control's value: one number, or one for each system of units.
type native struct{ US, SI float64 }

// UnmarshalYAML implements yaml.InterfaceUnmarshaler.
func (n *native) UnmarshalYAML(unmarshal func(any) error) error {
	var one float64
	if err := unmarshal(&one); err == nil {
		n.US, n.SI = one, one
		return nil
	}
	var two struct {
		US *float64 `yaml:"us"`
		SI *float64 `yaml:"si"`
	}
	if err := unmarshal(&two); err != nil || two.US == nil || two.SI == nil {
		return fmt.Errorf("a control is set to a number, or to {us: …, si: …}")
	}
	n.US, n.SI = *two.US, *two.SI
	return nil
}

func (r *rendering) numbers(set map[string]native) map[string]float64 {
	numbers := map[string]float64{}
	for name, n := range set {
		numbers[name] = n.US
		if r.view.Units == exercises.SI {
			numbers[name] = n.SI
		}
	}
	return numbers
}

func strict(body string, into any) error {
	if err := yaml.UnmarshalWithOptions([]byte(body), into, yaml.Strict()); err != nil {
		return fmt.Errorf("%s", yaml.FormatError(err, false, true))
	}
	return nil
}

// block builds an interactive block from its fence.
func (r *rendering) block(kind, name, body string) (Block, error) {
	switch kind {
	case "figure":
		f, err := r.figure(name, body)
		return Block{Figure: f}, err
	case "predict":
		p, err := r.predict(name, body)
		return Block{Predict: p}, err
	case "worked":
		w, err := r.worked(body)
		return Block{Worked: w}, err
	}
	return Block{}, fmt.Errorf("a lesson has figure, predict and worked blocks, not %q", kind)
}

func (r *rendering) figure(name, body string) (*FigureBlock, error) {
	var spec struct {
		Model   string            `yaml:"model"`
		Set     map[string]native `yaml:"set"`
		Caption string            `yaml:"caption"`
	}
	if err := strict(body, &spec); err != nil {
		return nil, err
	}
	if name == "" || spec.Caption == "" {
		return nil, fmt.Errorf("a figure needs a name behind the word figure, and a caption")
	}
	m, err := figure.ModelNamed(spec.Model)
	if err != nil {
		return nil, err
	}
	in, err := m.Settings(r.view.Units, r.numbers(spec.Set))
	if err != nil {
		return nil, err
	}
	if _, err := m.Solve(in); err != nil {
		return nil, err
	}
	return &FigureBlock{ID: name, Model: m, Caption: spec.Caption, Start: in}, nil
}

func (r *rendering) predict(name, body string) (*PredictBlock, error) {
	var spec struct {
		Ask     string            `yaml:"ask"`
		Set     map[string]native `yaml:"set"`
		Measure string            `yaml:"measure"`
		Rises   string            `yaml:"rises"`
		Same    string            `yaml:"same"`
		Falls   string            `yaml:"falls"`
		Because string            `yaml:"because"`
	}
	if err := strict(body, &spec); err != nil {
		return nil, err
	}
	if spec.Ask == "" || spec.Rises == "" || spec.Same == "" || spec.Falls == "" || spec.Because == "" {
		return nil, fmt.Errorf("a question needs ask, rises, same, falls and because")
	}
	var f *FigureBlock
	count := 0
	for _, b := range r.blocks {
		if b.Figure != nil && b.Figure.ID == name {
			f = b.Figure
		}
		if b.Predict != nil {
			count++
		}
	}
	if f == nil {
		return nil, fmt.Errorf("no figure named %q stands above", name)
	}
	changed := map[string]float64{}
	maps.Copy(changed, f.Start.Values)
	maps.Copy(changed, r.numbers(spec.Set))
	then, err := f.Model.Settings(r.view.Units, changed)
	if err != nil {
		return nil, err
	}
	p := &PredictBlock{ID: fmt.Sprintf("predict-%d", count+1), Figure: f, Ask: spec.Ask, Then: then, Because: spec.Because,
		Options: [3]PredictOption{{"rises", spec.Rises}, {"same", spec.Same}, {"falls", spec.Falls}}}
	for _, s := range []struct {
		in   figure.Input
		into *float64
	}{{f.Start, &p.Before}, {then, &p.After}} {
		result, err := f.Model.Solve(s.in)
		if err != nil {
			return nil, err
		}
		v, ok := result.Measures[spec.Measure]
		if !ok {
			return nil, fmt.Errorf("figure %s measures no %q", f.Model.Name, spec.Measure)
		}
		*s.into = v
	}
	p.Right = direction(p.Before, p.After)
	return p, nil
}

func direction(before, after float64) string {
	switch {
	case math.Abs(after-before) <= samePercent*math.Abs(before):
		return "same"
	case after > before:
		return "rises"
	default:
		return "falls"
	}
}

func (r *rendering) worked(body string) (*WorkedBlock, error) {
	var spec struct {
		Family string `yaml:"family"`
		Seed   uint64 `yaml:"seed"`
		Level  int    `yaml:"level"`
	}
	if err := strict(body, &spec); err != nil {
		return nil, err
	}
	f, err := exercises.FamilyByID(spec.Family)
	if err != nil {
		return nil, err
	}
	p, err := exercises.Pose(f, spec.Seed, spec.Level, r.view.Units)
	if err != nil {
		return nil, err
	}
	return &WorkedBlock{Problem: p}, nil
}
