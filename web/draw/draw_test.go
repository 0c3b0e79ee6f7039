package draw

import (
	"encoding/xml"
	"errors"
	"flag"
	"io"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"loopwright/exercises"
	"loopwright/lessons/figure"
)

var update = flag.Bool("update", false, "rewrite the golden drawings")

// A picture of every figure in its opening state is kept: -update writes them
// anew, and the difference is reviewed.
func TestGoldenDrawings(t *testing.T) {
	for _, m := range figure.Models() {
		for _, units := range []exercises.System{exercises.US, exercises.SI} {
			in, err := m.Settings(units, nil)
			require.NoError(t, err)
			r, err := m.Solve(in)
			require.NoError(t, err)
			svg := string(SVG("f", m.Title, r))
			wellFormed(t, svg)
			require.Contains(t, svg, "<title")
			require.Contains(t, svg, "<desc")
			file := filepath.Join("testdata", "golden", m.Name+"-"+string(units)+".svg")
			if *update {
				require.NoError(t, os.WriteFile(file, []byte(svg+"\n"), 0o644))
			}
			want, err := os.ReadFile(file)
			require.NoError(t, err)
			require.Equal(t, string(want), svg+"\n", "%s: look at the drawing and run with -update", m.Name)
		}
	}
}

func wellFormed(t *testing.T, svg string) {
	t.Helper()
	d := xml.NewDecoder(strings.NewReader(svg))
	for {
		_, err := d.Token()
		if errors.Is(err, io.EOF) {
			return
		}
		require.NoError(t, err)
	}
}

func TestTextsAreEscaped(t *testing.T) {
	r := &figure.Result{Sentence: `a < b & "c"`, Chart: &figure.LineChart{XLabel: "<x>", YLabel: "&", XMax: 1, YMax: 1,
		Lines: []figure.Line{{Name: "<script>", Role: "rule", X: []float64{0, 1}, Y: []float64{0, 1}}}}}
	svg := string(SVG("f", "<t>", r))
	require.NotContains(t, svg, "<script>")
	wellFormed(t, svg)
}

func TestTicks(t *testing.T) {
	require.Equal(t, []float64{0, 2, 4, 6, 8, 10}, ticks(0, 10, 5))
	require.Equal(t, []float64{0, 0.25, 0.5, 0.75, 1}, ticks(0, 1.2, 5)[:5])
	require.Equal(t, "60k", short(60000))
}

func TestRampRunsFromCoolToHot(t *testing.T) {
	require.Equal(t, "#3a79bc", ramp(0))
	require.Equal(t, "#d1582e", ramp(1))
	require.Equal(t, ramp(0), ramp(-1))
}
