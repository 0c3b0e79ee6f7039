package main

import (
	"os/exec"
	"slices"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"
)

// layers list what each package of the program may import from the others.
// Arrows point one way: see the map in DEVELOPERS.md.
var layers = map[string][]string{
	"grader/quantity":   {},
	"grader/closeto":    {},
	"grader/fluid":      {"grader/quantity"},
	"grader/pipe":       {"grader/quantity", "grader/fluid"},
	"grader/emitter":    {"grader/quantity"},
	"grader/circulator": {"grader/quantity"},
	"grader/valve":      {"grader/quantity"},
	"grader/boiler":     {"grader/quantity", "grader/fluid"},
	"grader/expansion":  {"grader/quantity", "grader/fluid"},
	"grader/thumb":      {"grader/quantity"},
	"grader/sparse":     {},
	"grader/steady":     {"grader/sparse"},
	"grader/document":   {"grader/quantity"},
	"grader/network":    {"grader/quantity", "grader/fluid", "grader/pipe", "grader/emitter", "grader/circulator", "grader/valve", "grader/boiler", "grader/expansion", "grader/document", "grader/steady"},
	"grader/sizing":     {"grader/quantity", "grader/fluid", "grader/pipe", "grader/emitter", "grader/circulator", "grader/valve", "grader/thumb", "grader/expansion", "grader/document", "grader/network"},
	"grader":            {"grader/quantity"},
	"exercises/formula": {},
	"exercises":         {"grader", "grader/*", "exercises/formula"},
	"lessons/figure":    {"grader/*", "exercises"},
	"lessons":           {"grader", "grader/*", "exercises", "exercises/formula", "lessons/figure"},
	"web/draw":          {"grader/quantity", "lessons/figure"},
	"web":               {"grader", "grader/*", "exercises", "exercises/formula", "lessons", "lessons/figure", "web/draw", "db"},
	"web/browsertest":   {},
	"db":                {},
	"cmd/loopwright":    {"grader", "grader/document", "grader/network", "grader/sizing", "exercises", "lessons", "web", "db"},
}

func TestImportsPointOneWay(t *testing.T) {
	out, err := exec.CommandContext(t.Context(), "go", "list", "-f", `{{.ImportPath}}:{{join .Imports " "}}`, "loopwright/...").Output()
	require.NoError(t, err)
	seen := map[string]bool{}
	for line := range strings.Lines(string(out)) {
		name, imports, _ := strings.Cut(strings.TrimSpace(line), ":")
		name = strings.TrimPrefix(name, "loopwright/")
		allowed, known := layers[name]
		require.True(t, known, "package %s has no place in the map", name)
		seen[name] = true
		for _, i := range strings.Fields(imports) {
			ours, ok := strings.CutPrefix(i, "loopwright/")
			engine := strings.HasPrefix(name, "grader")
			require.False(t, engine && (i == "net/http" || i == "database/sql" || strings.Contains(i, "goldmark")), "the engine imports %s in %s", i, name)
			if !ok {
				continue
			}
			fits := slices.Contains(allowed, ours) || slices.Contains(allowed, "grader/*") && strings.HasPrefix(ours, "grader/")
			require.True(t, fits && ours != "grader/closeto", "%s imports %s", name, ours)
		}
	}
	for name := range layers {
		require.True(t, seen[name], "the map names %s, which is not there", name)
	}
}
