package lessons

import (
	"io/fs"
	"strings"
	"testing"
	"testing/fstest"

	"github.com/stretchr/testify/require"

	"loopwright/exercises"
)

// The content that is built in passes its own check.
func TestContentIsSound(t *testing.T) {
	require.Empty(t, Check())
	c, err := Load()
	require.NoError(t, err)
	files, err := fs.Glob(content, "content/*.md")
	require.NoError(t, err)
	require.Len(t, c.Lessons, len(files))
	for i, l := range c.Lessons {
		require.Equal(t, i+1, l.Order, "%s: the order has a gap or a double", l.ID)
	}
	require.Nil(t, c.After(c.Lessons[len(c.Lessons)-1]))
	require.Equal(t, c.Lessons[1], c.After(c.Lessons[0]))
}

const front = `---
id: x
title: X
module: M
order: 1
minutes: 5
lead: L
outcomes: [o]
skills: [flow-from-load]
next: [flow-from-load]
values:
  load: {kind: power, us: "60,000 BTU/h", si: 18 kW, source: demo}
  drop: {kind: temperature_difference, us: 20 °F, si: 10 K, source: demo}
  flow: {expr: "rule_flow(load, drop)"}
cautions: [c]
sources: [s]
---
`

// course makes a course of one lesson with this body.
func course(body string) (*Course, error) {
	return LoadFrom(fstest.MapFS{"c/x.md": {Data: []byte(front + body)}}, "c")
}

func prose(t *testing.T, body string, units exercises.System) string {
	t.Helper()
	c, err := course(body)
	require.NoError(t, err)
	var b strings.Builder
	for _, block := range c.Lessons[0].View(units).Blocks {
		b.WriteString(string(block.Prose))
	}
	return b.String()
}

func TestValuesAreNativeAndComputed(t *testing.T) {
	body := "A {: gallon | liter :} house of {= load } wants {= flow }, or {= flow as L/s | L/h }.\n"
	require.Equal(t, "<p>A gallon house of <span class=\"computed\">60,000\u00a0BTU/h</span> wants <span class=\"computed\">6\u00a0gpm</span>, or <span class=\"computed\">0.379\u00a0L/s</span>.</p>\n",
		prose(t, body, exercises.US))
	// By hand: 18 kW over 4.19 × 10 K = 0.4296 L/s = 1547 L/h.
	require.Equal(t, "<p>A liter house of <span class=\"computed\">18\u00a0kW</span> wants <span class=\"computed\">0.43\u00a0L/s</span>, or <span class=\"computed\">1,550\u00a0L/h</span>.</p>\n",
		prose(t, body, exercises.SI))
	require.Contains(t, prose(t, "1 < 2 & <b>raw</b> **bold** \\{= flow\n", exercises.US), "1 &lt; 2 &amp;")
	require.NotContains(t, prose(t, "<script>x</script>\n", exercises.US), "<script>")
}

// Every mistake of an author is named with file and line.
func TestMistakesAreNamed(t *testing.T) {
	line := strings.Count(front, "\n") + 1
	for body, says := range map[string]string{
		"{= nothing }":                              "no value named nothing",
		"{= nofunc(load) }":                         "no function named nofunc",
		"{= rule_flow(load) }":                      "takes 2 arguments",
		"{= rule_flow(drop, load) }":                "belongs here",
		"{= velocity(flow, \"steel-sch40 9\") }":    "known are",
		"{= flow as psi }":                          "not a unit of",
		"{= flow":                                   "no closing",
		"{: only one :}":                            "two wordings",
		"```figure f\nmodel: none\ncaption: c\n```": "no figure",
		"```figure f\nmodel: heat-carried\ncaption: c\nset: {flow: 999}\n```":               "outside the range",
		"```figure f\nmodel: heat-carried\ncaption: c\nset: {weight: 1}\n```":               "no control",
		"```figure f\nmodel: heat-carried\ncaption: c\nextra: 1\n```":                       "extra",
		"```predict f\nask: a\nmeasure: heat\nrises: r\nsame: s\nfalls: f\nbecause: b\n```": "no figure named",
		"```worked\nfamily: none\nseed: 1\nlevel: 1\n```":                                   "there is no family",
		"```surprise\n```": "not \"surprise\"",
	} {
		_, err := course(body + "\n")
		require.ErrorContains(t, err, says, body)
		require.ErrorContains(t, err, "c/x.md:"+itoa(line), body)
	}
	for source, says := range map[string]string{
		"no front matter":   "starts with front matter",
		"---\nid: x\n---\n": "missing cautions, lead",
		strings.Replace(front, "lead: L", "lead: L\nsurprise: 1", 1):      "surprise",
		strings.Replace(front, ", source: demo}\n  drop", "}\n  drop", 1): "source",
		strings.Replace(front, "kind: power", "kind: weight", 1):          "no kind of quantity",
		strings.Replace(front, "60,000 BTU/h", "60,000", 1):               "has no unit",
		strings.Replace(front, "60,000 BTU/h", "60 gpm", 1):               "is a flow",
	} {
		_, err := LoadFrom(fstest.MapFS{"c/x.md": {Data: []byte(source)}}, "c")
		require.ErrorContains(t, err, says)
	}
}

func itoa(n int) string {
	var b []byte
	for ; n > 0; n /= 10 {
		b = append([]byte{byte('0' + n%10)}, b...)
	}
	return string(b)
}

// What Check looks for, it finds.
func TestCheckFinds(t *testing.T) {
	for body, says := range map[string]string{
		"It takes 45 gpm.":         "typed into the prose",
		"It takes 20 °F more.":     "typed into the prose",
		"[a](/lessons/none)":       "no lesson",
		"[a](/practice/none)":      "no family",
		"[a](#none)":               "no such section",
		"[a](https://example.com)": "without a network",
		"Nothing here.":            "at least one figure",
		"## The idea":              "no section on common slips",
	} {
		c, err := course(body + "\n")
		require.NoError(t, err, body)
		found := c.check()
		all := make([]string, len(found))
		for i, f := range found {
			all[i] = f.String()
		}
		require.Contains(t, strings.Join(all, "\n"), says, body)
	}
}

// The engine decides what a prediction's right answer is.
func TestPredictIsDecidedByTheEngine(t *testing.T) {
	figure := "```figure f\nmodel: two-pipe-mains\ncaption: c\n```\n\n```predict f\nask: a\nset: {near_valve: 40}\nmeasure: %\nrises: r\nsame: s\nfalls: f\nbecause: b\n```\n"
	for measure, want := range map[string]string{"flow_6": "rises", "flow_1": "falls", "total": "falls"} {
		c, err := course(strings.ReplaceAll(figure, "%", measure))
		require.NoError(t, err)
		for _, b := range c.Lessons[0].View(exercises.US).Blocks {
			if b.Predict != nil {
				require.Equal(t, want, b.Predict.Right, measure)
			}
		}
	}
}
