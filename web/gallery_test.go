package web

import (
	"encoding/xml"
	"errors"
	"io"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"loopwright/db"
	"loopwright/exercises"
	"loopwright/grader"
)

// gallery is every state of every page that a learner can meet, without a
// database: whoever changes a template sees here what depends on it.
func gallery(t *testing.T) map[string]struct {
	page string
	view any
} {
	t.Helper()
	type entry = struct {
		page string
		view any
	}
	states := map[string]entry{}
	f, err := exercises.FamilyByID("flow-from-load")
	require.NoError(t, err)
	p, err := exercises.Pose(f, 1, 2, exercises.US)
	require.NoError(t, err)
	order, err := exercises.FamilyByID("mains-sections")
	require.NoError(t, err)
	multi, err := exercises.Pose(order, 1, 3, exercises.SI)
	require.NoError(t, err)
	posed := db.Posed{ID: "demo", Family: f.ID, HintsShown: 2}

	states["problem, fresh"] = entry{"problem", viewProblem(db.Posed{ID: "demo"}, p, nil, nil, 0, nil)}
	states["problem, ordering"] = entry{"problem", viewProblem(db.Posed{ID: "demo"}, multi, nil, nil, 0, nil)}
	states["problem, hints shown"] = entry{"problem", viewProblem(posed, p, map[string]string{"flow": "5"}, nil, 0, nil)}
	states["problem, unreadable"] = entry{"problem", viewProblem(posed, p, map[string]string{"flow": "<six>"}, nil, 0, grader.InputErrors{{Part: "flow", Reason: "nothing was typed"}})}
	right := p.Parts[0].Answer.Quantity
	for verdict, typed := range map[string]string{
		"right": right.Text(), "slip": p.Parts[0].Slips[0].Answer.Quantity.Text(), "wrong": "123456",
		"unit": strings.Replace(right.Text(), "gpm", "L/s", 1),
	} {
		r, err := grader.Mark(p.Parts, map[string]string{"flow": typed})
		require.NoError(t, err)
		require.Equal(t, verdict, string(r.Parts[0].Verdict))
		states["problem, "+verdict] = entry{"problem", viewProblem(posed, p, map[string]string{"flow": typed}, &r, 2, nil)}
	}
	states["worked example, faded"] = entry{"example", exampleView{"demo", p, p.Steps[:1], p.Steps[1:]}}

	estimates := map[string]exercises.Estimate{}
	all := oneOfEach(estimates)
	states["today, first visit"] = entry{"today", todayView{First: true}}
	states["today, everything held"] = entry{"today", todayView{Name: "Sam", Can: all}}
	states["today, on the way"] = entry{"today", todayView{OpenID: "demo", OpenTitle: f.Title, Next: exercises.Next(estimates, map[string]bool{exercises.LessonHeat: true}, noon), Learning: all[:1], NotBegun: 3}}
	states["progress, empty"] = entry{"progress", progressView{}}
	states["progress"] = entry{"progress", progressView{Held: 1, Groups: []skillGroup{{Title: "Heat", Skills: all}}, Attempts: []attemptRow{{Posed: "demo", Title: f.Title, When: ago(time.Hour), Score: scoreText(0.8), Level: 2, Aided: true}}}}
	states["settings, bad name"] = entry{"settings", settingsView{Learner: db.Learner{Name: "<b>", Units: "si", Theme: "dark"}, NameError: "Too long."}}
	for _, units := range []exercises.System{exercises.US, exercises.SI} {
		query := map[string]string{"length": "24 m", "width": "12 m", "height": "9 m", "outlet": "2"}
		if units == exercises.SI {
			query["outlet"] = "DN50"
		}
		v, err := sizeBench(practiceOf(units), func(k string) string { return query[k] })
		require.NoError(t, err)
		require.NotNil(t, v.Sized)
		states["bench, sized, "+string(units)] = entry{"bench", v}
		states["job, the example, "+string(units)] = entry{"job", readJob(units, func(string) string { return "" })}
	}
	states["trouble"] = entry{"trouble", trouble{"There is nothing here", "It does not exist."}}
	return states
}

// oneOfEach is a few skills, held, in learning and not begun.
func oneOfEach(estimates map[string]exercises.Estimate) []skillState {
	held := exercises.Start("flow-from-load")
	for range 3 {
		held = held.Update(1, false, noon)
	}
	estimates["flow-from-load"] = held
	estimates["load-from-flow"] = exercises.Start("load-from-flow").Update(0, false, noon)
	return states(estimates, noon)[:4]
}

// Every state renders to well-formed HTML with one main heading.
func TestGallery(t *testing.T) {
	pages := loadPages(loadAssets())
	for name, state := range gallery(t) {
		t.Run(name, func(t *testing.T) {
			b, err := pages.render(state.page, page{Title: name, Theme: "auto", View: state.view})
			require.NoError(t, err)
			body := string(b)
			require.Equal(t, 1, strings.Count(body, "<h1"), "one main heading")
			require.NotContains(t, body, "ZgotmplZ")
			require.NotContains(t, body, "<six>")
			d := xml.NewDecoder(strings.NewReader(body))
			d.Strict, d.AutoClose, d.Entity = false, xml.HTMLAutoClose, xml.HTMLEntity
			for {
				_, err := d.Token()
				if errors.Is(err, io.EOF) {
					break
				}
				require.NoError(t, err)
			}
		})
	}
}
