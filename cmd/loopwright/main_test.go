package main

import (
	"bytes"
	"context"
	"encoding/json"
	"io"
	"net/http"
	"net/url"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/require"
)

// call runs the program and returns its exit code and what it printed.
func call(t *testing.T, args ...string) (code int, stdout, stderr string) {
	t.Helper()
	var out, err bytes.Buffer
	code = run(t.Context(), args, &out, &err)
	return code, out.String(), err.String()
}

func TestFamiliesJSON(t *testing.T) {
	code, out, _ := call(t, "families", "--json")
	require.Equal(t, exitDone, code)
	var list []struct {
		ID, Title, Lesson string
		Skills, Levels    []string
	}
	require.NoError(t, json.Unmarshal([]byte(out), &list))
	require.GreaterOrEqual(t, len(list), 20)
	for _, f := range list {
		require.NotEmpty(t, f.Skills)
		require.Len(t, f.Levels, 3)
	}
}

// The names that scripts rely on.
func TestPoseJSON(t *testing.T) {
	code, out, _ := call(t, "pose", "flow-from-load", "--seed", "3", "--level", "2", "--units", "us", "--json")
	require.Equal(t, exitDone, code)
	var p map[string]any
	require.NoError(t, json.Unmarshal([]byte(out), &p))
	for _, name := range []string{"family", "seed", "level", "units", "statement", "givens", "parts", "steps", "rule_against_engine"} {
		require.Contains(t, p, name)
	}
	given := p["givens"].(map[string]any)["Q"].(map[string]any)
	require.Equal(t, "W", given["unit"])
	require.Contains(t, given["text"], "BTU/h")
	part := p["parts"].([]any)[0].(map[string]any)
	for _, name := range []string{"id", "prompt", "kind", "answer", "low", "high", "why_tolerance", "hints", "slips"} {
		require.Contains(t, part, name)
	}
	answer := part["answer"].(map[string]any)
	require.Equal(t, "m3/s", answer["unit"])
	require.InDelta(t, answer["si"], part["low"].(float64)/0.97, 1e-9)
	slip := part["slips"].([]any)[0].(map[string]any)
	require.Contains(t, slip, "id")
	require.Contains(t, slip, "say")
	step := p["steps"].([]any)[0].(map[string]any)
	for _, name := range []string{"name", "formula", "substituted", "result"} {
		require.Contains(t, step, name)
	}
	code, again, _ := call(t, "pose", "flow-from-load", "--seed", "3", "--level", "2", "--units", "us", "--json")
	require.Equal(t, exitDone, code)
	require.Equal(t, out, again)
}

func TestMark(t *testing.T) {
	pose := []string{"flow-from-load", "--seed", "3", "--level", "1"}
	_, out, _ := call(t, append([]string{"pose", "--json"}, pose...)...)
	var p struct {
		Parts []struct {
			Answer struct{ Text string }
			Slips  []struct {
				ID     string
				Answer struct{ Text string }
			}
		}
	}
	require.NoError(t, json.Unmarshal([]byte(out), &p))
	mark := func(answer string) (int, string, string) {
		return call(t, append([]string{"mark", "--json", "--answer", "flow=" + answer}, pose...)...)
	}
	code, out, _ := mark(p.Parts[0].Answer.Text)
	require.Equal(t, exitDone, code)
	require.JSONEq(t, `"right"`, field(t, out, "verdict"))
	code, out, _ = mark(p.Parts[0].Slips[0].Answer.Text)
	require.Equal(t, exitWrong, code)
	require.JSONEq(t, `"slip"`, field(t, out, "verdict"))
	require.JSONEq(t, `"`+p.Parts[0].Slips[0].ID+`"`, field(t, out, "slip"))
	for _, bad := range []string{"", "six", "NaN"} {
		code, out, stderr := mark(bad)
		require.Equal(t, exitBadCall, code, bad)
		require.Empty(t, out)
		require.Contains(t, stderr, "part flow")
	}
}

func field(t *testing.T, result, name string) string {
	t.Helper()
	var r struct{ Parts []map[string]json.RawMessage }
	require.NoError(t, json.Unmarshal([]byte(result), &r))
	return string(r.Parts[0][name])
}

func TestWrongCalls(t *testing.T) {
	for _, args := range [][]string{
		{"nonsense"}, {"pose"}, {"pose", "none"}, {"pose", "velocity", "--level", "9"}, {"pose", "velocity", "--units", "cubits"},
		{"pose", "velocity", "--seed", "x"}, {"families", "extra"}, {"mark", "velocity", "--answer", "noequals"},
		{"mark", "velocity", "--answer", "velocity=1", "--answer", "velocity=2"}, {"backup"}, {"--no-such-flag"},
		{"serve", "--listen", "0.0.0.0:80"}, {"serve", "--listen", "example.com:80"}, {"serve", "--listen", "80"},
	} {
		code, out, stderr := call(t, args...)
		require.Equal(t, exitBadCall, code, args)
		require.Empty(t, out, args)
		require.Contains(t, stderr, "loopwright help", args)
	}
}

func TestReadableOutput(t *testing.T) {
	code, out, _ := call(t, "pose", "velocity", "--units", "si")
	require.Equal(t, exitDone, code)
	require.Contains(t, out, "Solution")
	code, out, _ = call(t, "families")
	require.Equal(t, exitDone, code)
	require.Contains(t, out, "flow-from-load")
	code, out, _ = call(t, "check")
	require.Equal(t, exitDone, code, out)
	code, out, _ = call(t, "version")
	require.Equal(t, exitDone, code)
	require.Contains(t, out, "loopwright ")
	code, out, _ = call(t, "help")
	require.Equal(t, exitDone, code)
	require.Contains(t, out, "rebuild")
}

// start runs the site on a free port until the test ends.
func start(t *testing.T, database string) (address string, stop func() error) {
	t.Helper()
	ctx, cancel := context.WithCancel(context.Background())
	ready, done := make(chan string, 1), make(chan error, 1)
	p := &program{listen: "127.0.0.1:0", database: database, log: logger(io.Discard), ready: func(a string) { ready <- a }}
	go func() { done <- p.serve(ctx) }()
	stop = func() error {
		cancel()
		return <-done
	}
	select {
	case address = <-ready:
	case err := <-done:
		t.Fatal(err)
	case <-time.After(20 * time.Second):
		t.Fatal("the site did not start")
	}
	return address, stop
}

// The site is started, worked, backed up while it runs, stopped, rebuilt and
// started again: progress is found again.
func TestTheProgram(t *testing.T) {
	database := filepath.Join(t.TempDir(), "data", "loopwright.db")
	address, stop := start(t, database)
	r, err := http.PostForm(address+"/lessons/heat-and-flow/read", url.Values{})
	require.NoError(t, err)
	require.Equal(t, http.StatusOK, r.StatusCode)
	require.NoError(t, r.Body.Close())

	copied := filepath.Join(t.TempDir(), "copy.db")
	code, out, stderr := call(t, "backup", copied, "--db", database)
	require.Equal(t, exitDone, code, stderr)
	require.Contains(t, out, "backed up")
	code, _, stderr = call(t, "backup", copied, "--db", database)
	require.Equal(t, exitWrong, code)
	require.Contains(t, stderr, "never overwrites")
	require.NoError(t, stop())

	code, out, stderr = call(t, "rebuild", "--db", database)
	require.Equal(t, exitDone, code, stderr)
	require.Contains(t, out, "0 first tries")
	code, _, stderr = call(t, "rebuild", "--db", filepath.Join(t.TempDir(), "none.db"))
	require.Equal(t, exitWrong, code)
	require.Contains(t, stderr, "there is no database")

	address, stop = start(t, copied)
	r, err = http.Get(address + "/lessons")
	require.NoError(t, err)
	page, err := io.ReadAll(r.Body)
	require.NoError(t, err)
	require.NoError(t, r.Body.Close())
	require.Contains(t, string(page), "<span>read</span>")
	require.NoError(t, stop())
}

func TestADatabaseThatIsNone(t *testing.T) {
	file := filepath.Join(t.TempDir(), "letter.txt")
	require.NoError(t, os.WriteFile(file, []byte(strings.Repeat("Dear reader. ", 100)), 0o600))
	code, _, stderr := call(t, "serve", "--listen", "127.0.0.1:0", "--db", file)
	require.Equal(t, exitWrong, code)
	require.Contains(t, stderr, "not a Loopwright database")
}

const exampleSystem = "../../lessons/systems/three-radiators.yaml"

// solve and size print tables for people and JSON for programs, and say in
// which file and line a mistake stands.
func TestSolveAndSize(t *testing.T) {
	code, out, _ := call(t, "solve", exampleSystem)
	require.Equal(t, exitDone, code)
	for _, want := range []string{"Three radiators", "LINKS", "attic.radiator", "ROOMS", "°F"} {
		require.Contains(t, out, want)
	}
	code, out, _ = call(t, "solve", exampleSystem, "--json")
	require.Equal(t, exitDone, code)
	var solved struct {
		Links []struct {
			ID   string  `json:"id"`
			Flow float64 `json:"flow_m3_s"`
			Mass float64 `json:"mass_flow_kg_s"`
		} `json:"links"`
	}
	require.NoError(t, json.Unmarshal([]byte(out), &solved))
	mass := map[string]float64{}
	for _, l := range solved.Links {
		mass[l.ID] = l.Mass
	}
	require.InEpsilon(t, mass["main-1"], mass["main-2"]+mass["hall.radiator"], 1e-9, "the take-off balances")

	code, out, _ = call(t, "size", "../../lessons/jobs/farmhouse.yaml")
	require.Equal(t, exitDone, code)
	for _, want := range []string{"PIPES", "index circuit", "expansion tank", "100.00 %", "CAUTIONS"} {
		require.Contains(t, out, want)
	}
	code, out, _ = call(t, "size", "--json", "../../lessons/jobs/farmhouse.yaml")
	require.Equal(t, exitDone, code)
	require.True(t, json.Valid([]byte(out)))

	bad := filepath.Join(t.TempDir(), "bad.yaml")
	require.NoError(t, os.WriteFile(bad, []byte("nodes: {a: {pressure: 12 gpm}}\nlinks: {p: {kind: pipe, from: a, to: b, size: 1, length: 3 ft}}\n"), 0o600))
	code, _, stderr := call(t, "solve", bad)
	require.Equal(t, exitWrong, code)
	require.Contains(t, stderr, "bad.yaml: line 1: nodes.a.pressure")
	code, _, stderr = call(t, "solve", "no-such-file.yaml")
	require.Equal(t, exitBadCall, code)
	require.Contains(t, stderr, "no-such-file.yaml")
	code, _, _ = call(t, "size")
	require.Equal(t, exitBadCall, code)
}
