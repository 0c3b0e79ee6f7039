// Package browsertest walks the site in a real browser: every page under the
// accessibility rules of axe-core, at phone and desktop width, light and dark;
// the job by keyboard; the job without scripts; the live figures.
//
// It needs Chromium (in PATH, or named by LOOPWRIGHT_CHROMIUM) and axe-core
// (npm ci in this folder). Without them it skips and says so; with
// LOOPWRIGHT_BROWSER_TESTS=required that is a failure.
package browsertest

import (
	"context"
	"crypto/rand"
	"fmt"
	"io"
	"log/slog"
	"net/http"
	"net/http/httptest"
	"net/url"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"github.com/chromedp/cdproto/emulation"
	"github.com/chromedp/chromedp"
	"github.com/chromedp/chromedp/kb"
	"github.com/stretchr/testify/require"

	"loopwright/db"
	"loopwright/exercises"
	"loopwright/lessons"
	"loopwright/web"
)

// missing skips, or fails where browser tests are required.
func missing(t *testing.T, format string, args ...any) {
	t.Helper()
	what := fmt.Sprintf(format, args...)
	if os.Getenv("LOOPWRIGHT_BROWSER_TESTS") == "required" {
		t.Fatal("browser tests are required, but " + what)
	}
	t.Skip("BROWSER TESTS SKIPPED: " + what)
}

func findChromium(t *testing.T) string {
	t.Helper()
	names := []string{os.Getenv("LOOPWRIGHT_CHROMIUM"), "chromium", "chromium-browser", "google-chrome"}
	for _, n := range names {
		if n == "" {
			continue
		}
		if path, err := exec.LookPath(n); err == nil {
			return path
		}
	}
	missing(t, "no Chromium was found in PATH or LOOPWRIGHT_CHROMIUM")
	return ""
}

func axeSource(t *testing.T) string {
	t.Helper()
	b, err := os.ReadFile(filepath.Join("node_modules", "axe-core", "axe.min.js"))
	if err != nil {
		missing(t, "axe-core is not installed: run npm ci in web/browsertest")
	}
	return string(b)
}

// site serves the real site on a free port.
func site(t *testing.T) *httptest.Server {
	t.Helper()
	store, err := db.Open(t.Context(), filepath.Join(t.TempDir(), "test.db"))
	require.NoError(t, err)
	course, err := lessons.Load()
	require.NoError(t, err)
	h, err := web.New(t.Context(), web.Config{Store: store, Course: course, Now: time.Now, Random: rand.Reader, Log: slog.New(slog.NewTextHandler(io.Discard, nil))})
	require.NoError(t, err)
	s := httptest.NewServer(h)
	t.Cleanup(func() {
		s.Close()
		require.NoError(t, store.Close())
	})
	return s
}

// browser starts one Chromium for a test; tab opens a tab in it.
func browser(t *testing.T) context.Context {
	t.Helper()
	options := []chromedp.ExecAllocatorOption{chromedp.ExecPath(findChromium(t)), chromedp.UserDataDir(t.TempDir()),
		chromedp.Flag("disable-background-networking", true), chromedp.Flag("disable-component-update", true), chromedp.Flag("disable-sync", true)}
	if os.Getuid() == 0 {
		options = append(options, chromedp.NoSandbox)
	}
	ctx, cancel := chromedp.NewContext(t.Context(), chromedp.WithAllocatorOptions(options...))
	t.Cleanup(cancel)
	ctx, stop := context.WithTimeout(ctx, 4*time.Minute)
	t.Cleanup(stop)
	return ctx
}

func do(t *testing.T, ctx context.Context, actions ...chromedp.Action[chromedp.Void]) {
	t.Helper()
	require.NoError(t, chromedp.Do(ctx, actions...))
}

func eval[T any](t *testing.T, ctx context.Context, js string) T {
	t.Helper()
	v, err := chromedp.Run(ctx, chromedp.Evaluate[T](js, chromedp.EvalAwaitPromise))
	require.NoError(t, err, js)
	return v
}

// post sends a form as the site's own pages do.
func post(t *testing.T, s *httptest.Server, path string, form url.Values) string {
	t.Helper()
	client := &http.Client{CheckRedirect: func(*http.Request, []*http.Request) error { return http.ErrUseLastResponse }}
	r, err := client.PostForm(s.URL+path, form)
	require.NoError(t, err)
	_ = r.Body.Close()
	return r.Header.Get("Location")
}

// pages are every page of the site, and the states of a problem.
func pages(t *testing.T, s *httptest.Server) []string {
	list := []string{"/", "/lessons", "/practice", "/practice/flow-from-load", "/progress", "/settings", "/settings?saved=1", "/bench",
		"/bench?length=80&width=40&height=30&outlet=2", "/bench?length=x", "/no-such-page",
		"/bench/job", "/bench/job?layout=diverter&emitter=panel&supply=180+F&drop=20+F&outdoor=0+F&height=18+ft&main=0+ft&rows=1&load-1=7000&indoor-1=70&distance-1=12&branch-1=5", "/bench/job?layout=series&supply=x",
		"/lessons/" + exercises.LessonDifference + "?predict-1=rises", "/lessons/" + exercises.LessonLoops + "?loop.layout=1",
		"/lessons/" + exercises.LessonControl + "?predict-3=rises", "/lessons/" + exercises.LessonSpeed + "?predict-3=falls",
		"/lessons/" + exercises.LessonPressure + "?predict-1=falls", "/lessons/" + exercises.LessonBoilers + "?predict-2=rises"}
	for _, id := range []string{exercises.LessonHeat, exercises.LessonPipe, exercises.LessonLoops, exercises.LessonTwoPipe, exercises.LessonDifference, exercises.LessonCirculator, exercises.LessonControl, exercises.LessonSpeed,
		exercises.LessonPressure, exercises.LessonBoilers} {
		list = append(list, "/lessons/"+id)
	}
	key := func(n int) string { return fmt.Sprintf("%020d", n) }
	posed := func() string { return post(t, s, "/practice/flow-from-load", url.Values{"level": {"2"}}) }
	fresh, wrong, rounded := posed(), posed(), posed()
	post(t, s, wrong+"/answers", url.Values{"key": {key(1)}, "part-flow": {"123456"}})
	post(t, s, rounded+"/answers", url.Values{"key": {key(2)}, "part-flow": {"0.0001 L/s"}})
	post(t, s, rounded+"/solution", nil)
	post(t, s, wrong+"/example", nil)
	list = append(list, fresh, wrong, rounded, wrong+"/example")
	for _, f := range []string{"mains-sections", "circulator-pick", "two-pipe-radiators"} {
		list = append(list, post(t, s, "/practice/"+f, url.Values{"level": {"3"}}))
	}
	return list
}

// runAxe runs the rules of WCAG 2.2 at levels A and AA.
const runAxe = `axe.run(document, {runOnly: ["wcag2a", "wcag2aa", "wcag21a", "wcag21aa", "wcag22aa", "best-practice"]})
	.then(r => r.violations.map(v => v.id + ": " + v.help + " " + v.nodes.map(n => n.target.join(" ")).slice(0, 3).join("; ")))`

// tooSmall lists targets below 24 px, and form controls below 44 px. A radio
// button or a checkbox is pressed by its label; links inside a sentence are
// exempt (WCAG 2.5.8).
const tooSmall = `[...document.querySelectorAll("a, button, input, select, summary")].filter(e => {
	if (e.type === "hidden" || !e.getClientRects().length || e.classList.contains("skip")) return false;
	if (e.tagName === "A" && e.closest("p, li:not(nav li, .rows li)") && !e.classList.contains("button") && !e.closest(".summary")) return false;
	const target = e.type === "radio" || e.type === "checkbox" ? e.closest("label") : e;
	const r = target.getBoundingClientRect();
	const least = e.tagName === "A" && !e.classList.contains("button") ? 24 : 43.5;
	return r.height < least || r.width < 24;
}).map(e => e.outerHTML.slice(0, 80) + " " + e.getBoundingClientRect().width + "x" + e.getBoundingClientRect().height)`

func TestEveryPageIsAccessible(t *testing.T) {
	chrome, axe := browser(t), axeSource(t)
	s := site(t)
	all := pages(t, s)
	for _, theme := range []string{"light", "dark"} {
		post(t, s, "/settings", url.Values{"units": {"us"}, "theme": {theme}})
		for _, size := range [][2]int64{{390, 844}, {1440, 900}} {
			do(t, chrome, chromedp.EmulateViewport(size[0], size[1]))
			for _, p := range all {
				do(t, chrome, chromedp.Navigate(s.URL+p))
				eval[bool](t, chrome, axe+"; true")
				name := fmt.Sprintf("%s %s %d", p, theme, size[0])
				require.Empty(t, eval[[]string](t, chrome, runAxe), name)
				require.Empty(t, eval[[]string](t, chrome, tooSmall), name)
			}
		}
	}
	do(t, chrome, chromedp.EmulateViewport(320, 800))
	for _, p := range all {
		do(t, chrome, chromedp.Navigate(s.URL+p))
		require.LessOrEqual(t, eval[float64](t, chrome, `document.documentElement.scrollWidth`), 320.0, "%s scrolls sideways", p)
	}
}

// press sends keys to whatever has the focus.
func press(t *testing.T, ctx context.Context, keys string) {
	t.Helper()
	do(t, ctx, chromedp.KeyEvent(keys))
}

// waitFor waits until an expression holds.
func waitFor(t *testing.T, ctx context.Context, js string) {
	t.Helper()
	for range 100 {
		if eval[bool](t, ctx, "!!("+js+")") {
			return
		}
		time.Sleep(50 * time.Millisecond)
	}
	t.Fatalf("never came true: %s\nat %s: %s", js, eval[string](t, ctx, "location.href"), eval[string](t, ctx, "document.body.innerText"))
}

// A learner with a keyboard alone: from the start page to a verdict.
func TestTheJobByKeyboard(t *testing.T) {
	chrome, axe := browser(t), axeSource(t)
	s := site(t)
	path := post(t, s, "/practice/flow-from-load", url.Values{"level": {"1"}})
	do(t, chrome, chromedp.EmulateViewport(390, 844), chromedp.Navigate(s.URL+path))
	press(t, chrome, kb.Tab)
	require.Equal(t, "skip", eval[string](t, chrome, `document.activeElement.className`), "the first stop skips the navigation")
	press(t, chrome, kb.Enter)
	for range 20 {
		if eval[string](t, chrome, `document.activeElement.id`) == "part-flow" {
			break
		}
		press(t, chrome, kb.Tab)
	}
	require.Equal(t, "part-flow", eval[string](t, chrome, `document.activeElement.id`))
	press(t, chrome, "six")
	press(t, chrome, kb.Enter)
	waitFor(t, chrome, `document.querySelector("[data-test=error-summary]")`)
	require.Equal(t, "error-summary", eval[string](t, chrome, `document.activeElement.dataset.test || ""`), "the focus goes to the error summary")
	require.Equal(t, "six", eval[string](t, chrome, `document.querySelector("#part-flow").value`))
	eval[bool](t, chrome, axe+"; true")
	require.Empty(t, eval[[]string](t, chrome, runAxe), "the page with an error")
	press(t, chrome, kb.Tab)
	// The protocol sends a key's down and its character apart, so that the
	// character of Enter would reach the field that the link has led to.
	eval[bool](t, chrome, `document.activeElement.click(); true`)
	require.Equal(t, "part-flow", eval[string](t, chrome, `document.activeElement.id`), "its link leads to the field")
	eval[bool](t, chrome, `document.querySelector("#part-flow").select(); true`)
	press(t, chrome, "123456 gpm")
	require.Equal(t, "123456 gpm", eval[string](t, chrome, `document.querySelector("#part-flow").value`))
	press(t, chrome, kb.Enter)
	waitFor(t, chrome, `document.querySelector("[data-test=result]")`)
	require.Equal(t, "result", eval[string](t, chrome, `document.activeElement.id`), "the focus goes to the result")
	require.Contains(t, eval[string](t, chrome, `document.querySelector("[data-test=verdict]").textContent`), "Read as 123,456")
}

// The whole job with scripts switched off.
func TestTheJobWithoutScripts(t *testing.T) {
	chrome := browser(t)
	s := site(t)
	_, err := chromedp.Call(chrome, emulation.SetScriptExecutionDisabled, emulation.SetScriptExecutionDisabledParams{Value: true})
	require.NoError(t, err)
	do(t, chrome, chromedp.EmulateViewport(390, 844), chromedp.Navigate(s.URL+"/"))
	click := func(sel string) { do(t, chrome, chromedp.Click(sel), chromedp.WaitReady("main")) }
	location := func() string {
		l, err := chromedp.Run(chrome, chromedp.Location())
		require.NoError(t, err)
		return l
	}
	text := func(sel string) string {
		v, err := chromedp.Run(chrome, chromedp.TextContent(sel))
		require.NoError(t, err)
		return v
	}
	click(`a[href="/lessons/` + exercises.LessonHeat + `"]`)
	do(t, chrome, chromedp.WaitVisible("figure.live svg"))
	click(`[data-test=predict] input[value="rises"]`)
	click(`[data-test=predict] button`)
	do(t, chrome, chromedp.WaitVisible(`[data-test=predict] .verdict`))
	click(`form[action$="/read"] button`)
	do(t, chrome, chromedp.WaitVisible(`form[action$="/read"] button.quiet`))
	do(t, chrome, chromedp.Navigate(s.URL+"/practice/flow-from-load"))
	click(`form[action="/practice/flow-from-load"] button`)
	do(t, chrome, chromedp.WaitVisible("#part-flow"))
	require.Contains(t, location(), "/problems/")
	click(`button[formaction]`)
	do(t, chrome, chromedp.WaitVisible("#hints"))
	require.NotEmpty(t, text("#hints li"))
	do(t, chrome, chromedp.SetValue("#part-flow", "123456"))
	click(`[data-test=mark]`)
	do(t, chrome, chromedp.WaitVisible("[data-test=result]"))
	click(`form[action$="/solution"] button`)
	do(t, chrome, chromedp.WaitVisible("#solution"))
	require.NotEmpty(t, text("#solution .substituted"))
}

// A live figure follows its control, by keyboard, and says so.
func TestLiveFigure(t *testing.T) {
	chrome := browser(t)
	s := site(t)
	do(t, chrome, chromedp.EmulateViewport(390, 844), chromedp.Navigate(s.URL+"/lessons/"+exercises.LessonDifference))
	waitFor(t, chrome, `document.documentElement.classList.contains("scripted")`)
	see := `document.querySelector("#fig-mains .see").textContent`
	before := eval[string](t, chrome, see)
	svg := eval[string](t, chrome, `document.querySelector("#fig-mains svg").outerHTML`)
	do(t, chrome, chromedp.Focus("#mains-near_valve"))
	for range 30 {
		press(t, chrome, kb.ArrowLeft)
	}
	waitFor(t, chrome, see+" !== "+fmt.Sprintf("%q", before))
	require.Equal(t, "polite", eval[string](t, chrome, `document.querySelector("#fig-mains .see").getAttribute("aria-live")`))
	require.Contains(t, eval[string](t, chrome, `document.querySelector("output[for=mains-near_valve]").textContent`), "70")
	// The last state wins: what is drawn in the end is the state of the control.
	want, err := http.Get(s.URL + "/lessons/" + exercises.LessonDifference + "/figures/mains?mains.near_valve=70")
	require.NoError(t, err)
	defer func() { _ = want.Body.Close() }()
	page, err := io.ReadAll(want.Body)
	require.NoError(t, err)
	_, after, _ := strings.Cut(string(page), `aria-live="polite">`)
	sentence, _, _ := strings.Cut(after, "<")
	waitFor(t, chrome, see+" === "+fmt.Sprintf("%q", sentence))
	require.NotEqual(t, svg, eval[string](t, chrome, `document.querySelector("#fig-mains svg").outerHTML`))
}
