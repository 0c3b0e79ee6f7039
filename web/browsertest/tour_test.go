package browsertest

import (
	"net/url"
	"os"
	"path/filepath"
	"strconv"
	"strings"
	"testing"
	"time"

	"github.com/chromedp/chromedp"
	"github.com/stretchr/testify/require"

	"loopwright/exercises"
)

// TestTourPictures takes the pictures of README's tour, on request:
// LOOPWRIGHT_TOUR=1 go test -run Tour ./web/browsertest
func TestTourPictures(t *testing.T) {
	if os.Getenv("LOOPWRIGHT_TOUR") == "" {
		t.Skip("pictures are taken on request only: LOOPWRIGHT_TOUR=1")
	}
	chrome := browser(t)
	s := site(t)
	take := func(name, theme, path, scrollTo string, width, height int64) {
		post(t, s, "/settings", url.Values{"units": {"us"}, "theme": {theme}})
		do(t, chrome, chromedp.EmulateViewport(width, height), chromedp.Navigate(s.URL+path))
		if scrollTo != "" {
			eval[bool](t, chrome, `document.querySelector("`+scrollTo+`").scrollIntoView({behavior: "instant"}); true`)
		}
		time.Sleep(300 * time.Millisecond)
		picture, err := chromedp.Run(chrome, chromedp.CaptureScreenshot())
		require.NoError(t, err)
		require.NoError(t, os.WriteFile(filepath.Join("..", "tour", name+".png"), picture, 0o644))
	}
	take("lesson", "light", "/lessons/"+exercises.LessonDifference, "#fig-mains", 900, 760)
	problem := post(t, s, "/practice/flow-from-load", url.Values{"level": {"2"}})
	do(t, chrome, chromedp.Navigate(s.URL+problem))
	seed, err := strconv.ParseUint(eval[string](t, chrome, `document.body.innerText.match(/Seed (\d+)/)[1]`), 10, 64)
	require.NoError(t, err)
	family, err := exercises.FamilyByID("flow-from-load")
	require.NoError(t, err)
	p, err := exercises.Pose(family, seed, 2, exercises.US)
	require.NoError(t, err)
	slip := p.Parts[0].Slips[len(p.Parts[0].Slips)-2].Answer.Quantity.Text()
	post(t, s, problem+"/answers", url.Values{"key": {strings.Repeat("k", 20)}, "part-flow": {slip}})
	take("verdict", "dark", problem, "", 390, 844)
	take("bench", "light", "/bench?length=80+ft&width=40+ft&height=30+ft&outlet=2", "#sized", 900, 620)
	take("loop", "light", "/lessons/"+exercises.LessonLoops+"?loop.layout=1&loop.supply=170", "#fig-loop", 900, 760)
}
