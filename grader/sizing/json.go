package sizing

import (
	"encoding/json"

	"loopwright/grader/network"
)

// The stable form of a sized job: SI, with the unit in each name. Its schema is
// result.schema.json beside this file.
type wire struct {
	Title     string           `json:"title,omitempty"`
	Layout    Layout           `json:"layout"`
	Pipes     []wirePipe       `json:"pipes"`
	Emitters  []wireEmitter    `json:"emitters"`
	Circuits  []wireCircuit    `json:"circuits"`
	Drives    []wireDrive      `json:"circulators"`
	Bypass    *wireBypass      `json:"bypass,omitempty"`
	Expansion wireExpansion    `json:"expansion"`
	Compared  []wireComparison `json:"rules_of_thumb"`
	Cautions  []string         `json:"cautions"`
	Check     wireCheck        `json:"check"`
}

type wirePipe struct {
	ID          string  `json:"id"`
	From        string  `json:"from"`
	To          string  `json:"to"`
	Material    string  `json:"material"`
	Size        string  `json:"size"`
	Bore        float64 `json:"bore_m"`
	Length      float64 `json:"length_m"`
	Flow        float64 `json:"flow_m3_s"`
	Mass        float64 `json:"mass_flow_kg_s"`
	Velocity    float64 `json:"velocity_m_s"`
	Friction    float64 `json:"friction_m_m"`
	Head        float64 `json:"head_m"`
	Temperature float64 `json:"temperature_c"`
	Decided     Decided `json:"decided_by"`
	Customary   string  `json:"customary_size"`
}

type wireEmitter struct {
	Room     string  `json:"room"`
	Kind     string  `json:"kind"`
	Load     float64 `json:"load_w"`
	Flow     float64 `json:"flow_m3_s"`
	Mass     float64 `json:"mass_flow_kg_s"`
	Entering float64 `json:"temperature_in_c"`
	Leaving  float64 `json:"temperature_out_c"`
	Length   float64 `json:"length_m,omitempty"`
	EDR      float64 `json:"edr_ft2,omitempty"`
	Output   float64 `json:"output_75_65_20_w,omitempty"`
}

type wireCircuit struct {
	ID        string   `json:"id"`
	Loop      string   `json:"circulator"`
	Rooms     []string `json:"rooms"`
	Flow      float64  `json:"flow_m3_s"`
	Need      float64  `json:"needs_head_m"`
	Index     bool     `json:"index"`
	ValveKv   float64  `json:"balancing_kv_m3_h_bar,omitempty"`
	ValveCv   float64  `json:"balancing_cv_gpm_psi,omitempty"`
	ValveHead float64  `json:"balancing_head_m,omitempty"`
	TeeHead   float64  `json:"tee_head_m,omitempty"`
}

type wireDrive struct {
	ID    string  `json:"id"`
	Model string  `json:"model"`
	Flow  float64 `json:"flow_m3_s"`
	Head  float64 `json:"head_m"`
	Gives float64 `json:"gives_head_m"`
	Speed float64 `json:"speed"`
	Trim  float64 `json:"trim_kv_m3_h_bar,omitempty"`
	Rule  string  `json:"model_by_rule,omitempty"`
}

type wireBypass struct {
	Set  float64 `json:"set_pa"`
	Band float64 `json:"band_pa"`
	Flow float64 `json:"flow_m3_s"`
	Kv   float64 `json:"kv_m3_h_bar"`
}

type wireExpansion struct {
	Water     float64 `json:"water_m3"`
	Growth    float64 `json:"growth"`
	Fill      float64 `json:"fill_pressure_pa"`
	Precharge float64 `json:"precharge_pressure_pa"`
	Highest   float64 `json:"highest_pressure_pa"`
	Relief    float64 `json:"relief_pressure_pa"`
	Tank      float64 `json:"tank_m3"`
}

type wireComparison struct {
	What   string `json:"what"`
	Engine string `json:"computed"`
	Rule   string `json:"rule"`
	RuleID string `json:"rule_id"`
}

type wireCheck struct {
	Worst    float64           `json:"worst_flow_error"`
	At       string            `json:"at,omitempty"`
	Coldest  float64           `json:"coldest_room_k"`
	Warmest  float64           `json:"warmest_room_k"`
	Solution *network.Solution `json:"solution"`
}

// MarshalJSON writes the stable form.
func (r *Result) MarshalJSON() ([]byte, error) {
	j := r.Job
	w := wire{Title: j.Title, Layout: j.Layout, Pipes: []wirePipe{}, Emitters: []wireEmitter{}, Circuits: []wireCircuit{}, Drives: []wireDrive{}, Compared: []wireComparison{}, Cautions: r.Cautions,
		Check: wireCheck{r.Check.Worst, r.Check.At, float64(r.Check.Coldest), float64(r.Check.Warmest), r.Check.Solution}}
	for _, s := range r.Sections {
		w.Pipes = append(w.Pipes, wirePipe{s.ID, s.From, s.To, j.Material, s.Size.Nominal, s.Size.Bore, s.Length, s.Flow, s.Mass, s.Velocity, s.Rate, float64(s.Loss), float64(s.Water), s.Decided, j.customary(s.Flow)})
	}
	for _, e := range r.Emitters {
		x := wireEmitter{Room: e.Room, Kind: j.Emitter, Load: e.Load, Flow: e.Flow, Mass: e.Mass, Entering: float64(e.Entering), Leaving: float64(e.Leaving)}
		switch j.Emitter {
		case FinTube:
			x.Length = e.Amount
		case CastIron:
			x.EDR = e.Amount
		case Panel:
			x.Output = e.Amount
		}
		w.Emitters = append(w.Emitters, x)
	}
	for _, c := range r.Circuits {
		w.Circuits = append(w.Circuits, wireCircuit{c.ID, c.Loop, c.Rooms, c.Flow, float64(c.Need), c.Index, c.Valve.Kv(), c.Valve.Cv(), float64(c.Drop), float64(c.Tee)})
	}
	for _, d := range r.Drives {
		w.Drives = append(w.Drives, wireDrive{d.ID, d.Choice.Model.ID, d.Flow, float64(d.Head), float64(d.Gives), d.Speed, d.Trim.Kv(), d.ByRule})
	}
	if b := r.Bypass; b != nil {
		w.Bypass = &wireBypass{float64(b.Set), float64(b.Band), b.Flow, b.Open.Kv()}
	}
	e := r.Expansion
	w.Expansion = wireExpansion{e.Water, e.Growth, float64(e.Fill), float64(e.Precharge), float64(e.Highest), float64(e.Relief), e.Volume}
	for _, c := range r.Compared {
		w.Compared = append(w.Compared, wireComparison{c.What, c.Engine, c.Rule, c.RuleID})
	}
	return json.Marshal(w)
}
