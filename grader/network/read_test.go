package network

import (
	"bytes"
	"encoding/json"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/santhosh-tekuri/jsonschema/v6"
	"github.com/stretchr/testify/require"

	"loopwright/grader/closeto"
	"loopwright/grader/document"
)

func example(t testing.TB, name string) *System {
	t.Helper()
	text, err := os.ReadFile(filepath.Join("../../lessons/systems", name))
	require.NoError(t, err)
	s, _, err := Read(name, text)
	require.NoError(t, err)
	return s
}

// Every example file is read, solved and printed, and its JSON is as the schema
// says.
func TestExampleFiles(t *testing.T) {
	schema, err := jsonschema.NewCompiler().Compile("solution.schema.json")
	require.NoError(t, err)
	files, err := filepath.Glob("../../lessons/systems/*.yaml")
	require.NoError(t, err)
	require.GreaterOrEqual(t, len(files), 2)
	for _, f := range files {
		m, err := Prepare(example(t, filepath.Base(f)))
		require.NoError(t, err, f)
		s, err := m.Solve()
		require.NoError(t, err, f)
		for _, u := range []Units{US, SI} {
			for _, table := range s.Tables(u) {
				for _, row := range table.Rows {
					require.Len(t, row, len(table.Head), table.Title)
				}
			}
		}
		text, err := json.Marshal(s)
		require.NoError(t, err)
		value, err := jsonschema.UnmarshalJSON(bytes.NewReader(text))
		require.NoError(t, err)
		require.NoError(t, schema.Validate(value), f)
	}
}

// The file that shows every kind of link uses every kind there is.
func TestEveryKindIsShown(t *testing.T) {
	s := example(t, "every-kind.yaml")
	seen := map[string]bool{}
	for _, l := range s.Links {
		seen[l.Part.kind()] = true
	}
	for kind := range kinds {
		require.True(t, seen[kind], "no %s in every-kind.yaml", kind)
	}
	require.True(t, seen["mixing"])
}

// JSON is read like YAML, and quantities in other units say the same.
func TestReadJSONAndUnits(t *testing.T) {
	yaml := "nodes: {a: {pressure: 100 kPa}}\nlinks:\n  p: {kind: circulator, from: a, to: b, curve: [6 m at 0 L/s, 4 m at 1 L/s]}\n  r: {kind: resistance, from: b, to: a, loss: 4 m at 1 L/s}\n"
	s, _, err := Read("x.yaml", []byte(yaml))
	require.NoError(t, err)
	m, err := Prepare(s)
	require.NoError(t, err)
	solution, err := m.Solve()
	require.NoError(t, err)
	flow, _ := solution.Link("r")
	closeto.Relative(t, 1e-3, flow.Flow, 1e-9, "the curve meets the rated point there")
	asJSON := `{"nodes": {"a": {"pressure": "100 kPa"}}, "links": {
		"p": {"kind": "circulator", "from": "a", "to": "b", "curve": ["6 m at 0 L/s", "4 m at 60 L/min"]},
		"r": {"kind": "resistance", "from": "b", "to": "a", "loss": "4 m at 3.6 m3/h"}}}`
	s2, _, err := Read("x.json", []byte(asJSON))
	require.NoError(t, err)
	m2, err := Prepare(s2)
	require.NoError(t, err)
	again, err := m2.Solve()
	require.NoError(t, err)
	other, _ := again.Link("r")
	closeto.Relative(t, flow.Flow, other.Flow, 1e-9, "JSON")
}

const ring = "nodes: {a: {pressure: 12 psi}}\nlinks:\n  pump: {kind: circulator, from: a, to: b, model: C-08}\n  pipe: {kind: pipe, from: b, to: a, size: 3/4, length: 40 ft}\n"

func TestReadNamesEveryMistake(t *testing.T) {
	_, _, err := Read("ok.yaml", []byte(ring))
	require.NoError(t, err)
	for name, c := range map[string]struct{ text, want string }{
		"unknown field":       {strings.Replace(ring, "length: 40 ft", "length: 40 ft, paint: red", 1), "bad.yaml: line 4: links.pipe.paint: no such field here; accepted are"},
		"unknown kind":        {strings.Replace(ring, "kind: pipe", "kind: hose", 1), `line 4: links.pipe.kind: link pipe has kind "hose"; accepted are balancing, boiler`},
		"unit of another":     {strings.Replace(ring, "40 ft", "40 gpm", 1), `line 4: links.pipe.length: "40 gpm" is a flow; wanted is a length, for example`},
		"no unit":             {strings.Replace(ring, "40 ft", "40", 1), `"40" has no unit`},
		"no size":             {strings.Replace(ring, "size: 3/4, ", "", 1), "size is missing"},
		"unknown size":        {strings.Replace(ring, "3/4", "7/9", 1), "line 4: links.pipe.size: no copper tube, type M of size"},
		"unknown circulator":  {strings.Replace(ring, "C-08", "C-99", 1), `line 3: links.pump.model: no demo circulator "C-99"; known are C-08`},
		"no end":              {strings.Replace(ring, "from: b, to: a,", "from: b,", 1), "to is missing"},
		"no pressure":         {strings.Replace(ring, "{a: {pressure: 12 psi}}", "{a: {elevation: 1 ft}}", 1), "nothing holds the pressure in the part with nodes a and b"},
		"nothing drives":      {"nodes: {a: {pressure: 12 psi}}\nlinks:\n  p: {kind: pipe, from: a, to: b, size: 1, length: 1 ft}\n", "nothing drives water through the part with nodes a and b"},
		"pump with no path":   {strings.Replace(ring, "from: b, to: a,", "from: b, to: c,", 1), "line 3: links.pump: circulator pump has no path"},
		"dead end":            {ring + "  stub: {kind: radiator, from: b, to: c, room: den, type: panel, output: 1 kW}\nrooms: {den: {indoor: 70 degF}}\n", "line 5: links.stub: radiator stub is a dead end"},
		"no such room":        {ring + "  r: {kind: radiator, from: b, to: a, room: den, type: panel, output: 1 kW}\n", `heats room "den", which is not described`},
		"to itself":           {ring + "  r: {kind: resistance, from: b, to: b, loss: 1 ft at 1 gpm}\n", "leads from node b to itself"},
		"node without a link": {strings.Replace(ring, "{a: {", "{z: {elevation: 2 ft}, a: {", 1), "node z has no link"},
		"two ways to hold":    {strings.Replace(ring, "pressure: 12 psi", "pressure: 12 psi, head: 3 ft", 1), "either the pressure or the head"},
		"rising curve":        {strings.Replace(ring, "model: C-08", "curve: [8 ft at 0 gpm, 9 ft at 2 gpm]", 1), "the curve rises"},
		"boiler without heat": {ring + "  b: {kind: boiler, from: b, to: a}\n", "either a supply temperature that it holds"},
		"bad share":           {ring + "  v: {kind: valve, from: b, to: a, coefficient: 4 Cv, opening: 140 %}\n", "out of range; accepted is"},
		"bad pair":            {ring + "  v: {kind: resistance, from: b, to: a, loss: 4 ft}\n", "is not of the form"},
		"empty":               {"", "the file is empty"},
		"a list":              {"- 1\n- 2\n", "expected fields"},
		"not text":            {"\xff\xfe\x00", "bad.yaml"},
		"freezing":            {"water: -20 degC\n" + ring, "line 1: water:"},
		"twice":               {strings.Replace(ring, "  pipe:", "  pump:", 1), "line 4"},
	} {
		_, _, err := Read("bad.yaml", []byte(c.text))
		require.ErrorContains(t, err, c.want, name)
		var all *document.Error
		require.ErrorAs(t, err, &all, name)
	}
	// Several mistakes are named at once, in the order of their lines.
	_, _, err = Read("bad.yaml", []byte(strings.NewReplacer("40 ft", "40", "C-08", "C-99").Replace(ring)))
	require.Regexp(t, `(?s)line 3.*\n.*line 4`, err.Error())
}

func FuzzRead(f *testing.F) {
	f.Add([]byte(ring))
	for _, name := range []string{"three-radiators.yaml", "every-kind.yaml"} {
		text, err := os.ReadFile(filepath.Join("../../lessons/systems", name))
		require.NoError(f, err)
		f.Add(text)
	}
	f.Fuzz(func(t *testing.T, text []byte) {
		s, _, err := Read("fuzz", text)
		if err != nil {
			return
		}
		if len(s.Links) > 200 {
			return
		}
		m, err := Prepare(s)
		require.NoError(t, err, "what was read can be prepared")
		if solution, err := m.Solve(); err == nil {
			_, err := json.Marshal(solution)
			require.NoError(t, err, "a solution holds no NaN")
		}
	})
}
