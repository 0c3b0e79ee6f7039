package web

import (
	"context"
	"io"
	"log/slog"
	"math/rand/v2"
	"net/http"
	"net/http/httptest"
	"net/url"
	"path/filepath"
	"regexp"
	"strings"
	"sync/atomic"
	"testing"
	"time"

	lru "github.com/hashicorp/golang-lru/v2"
	"github.com/stretchr/testify/require"

	"loopwright/db"
	"loopwright/exercises"
	"loopwright/grader"
	"loopwright/lessons"
)

var noon = time.Date(2026, 3, 2, 12, 0, 0, 0, time.UTC)

// testSite is the real site on a real database file, with a clock that the
// test moves and ids from a seed.
type testSite struct {
	t       testing.TB
	handler http.Handler
	store   *db.Store
	clock   atomic.Int64
}

func newSite(t testing.TB) *testSite {
	t.Helper()
	store, err := db.Open(context.Background(), filepath.Join(t.TempDir(), "test.db"))
	require.NoError(t, err)
	course, err := lessons.Load()
	require.NoError(t, err)
	s := &testSite{t: t, store: store}
	s.clock.Store(noon.UnixMilli())
	s.handler, err = New(context.Background(), Config{Store: store, Course: course, Now: func() time.Time { return time.UnixMilli(s.clock.Load()).UTC() },
		Random: &lockedSource{r: rand.NewChaCha8([32]byte{1})}, Log: slog.New(slog.NewTextHandler(io.Discard, nil))})
	require.NoError(t, err)
	t.Cleanup(func() {
		require.NoError(t, store.IntegrityCheck(context.Background()))
		require.NoError(t, store.Close())
	})
	return s
}

func (s *testSite) request(r *http.Request) *httptest.ResponseRecorder {
	w := httptest.NewRecorder()
	s.handler.ServeHTTP(w, r)
	return w
}

func (s *testSite) get(path string) *httptest.ResponseRecorder {
	return s.request(httptest.NewRequest(http.MethodGet, path, nil))
}

func (s *testSite) post(path string, form url.Values) *httptest.ResponseRecorder {
	r := httptest.NewRequest(http.MethodPost, path, strings.NewReader(form.Encode()))
	r.Header.Set("Content-Type", "application/x-www-form-urlencoded")
	return s.request(r)
}

var keyField = regexp.MustCompile(`name="key" value="([a-z0-9]+)"`)

// start poses a problem and gives its path, the key of its form, and the
// problem with its answers, which only the test can see.
func (s *testSite) start(family, level string) (path, key string, p *exercises.Problem) {
	s.t.Helper()
	w := s.post("/practice/"+family, url.Values{"level": {level}})
	require.Equal(s.t, http.StatusSeeOther, w.Code, w.Body)
	path = w.Header().Get("Location")
	posed, err := s.store.Posed(context.Background(), 1, strings.TrimPrefix(path, "/problems/"))
	require.NoError(s.t, err)
	p, err = unmarshalProblem(posed.Problem)
	require.NoError(s.t, err)
	return path, s.key(path), p
}

func (s *testSite) key(path string) string {
	s.t.Helper()
	page := s.get(path)
	require.Equal(s.t, http.StatusOK, page.Code)
	m := keyField.FindStringSubmatch(page.Body.String())
	require.NotNil(s.t, m)
	return m[1]
}

// rightForm answers every part of a problem rightly.
func rightForm(key string, p *exercises.Problem) url.Values {
	form := url.Values{"key": {key}}
	for _, part := range p.Parts {
		field := "part-" + part.ID
		switch part.Kind {
		case grader.Numeric:
			form.Set(field, part.Answer.Quantity.Text())
		case grader.Choice:
			form.Set(field, part.Answer.Choice)
		case grader.Order:
			for i, id := range part.Answer.Order {
				form.Set(field+"-"+string(rune('1'+i)), id)
			}
		}
	}
	return form
}

func (s *testSite) attempts(path string) []db.Attempt {
	list, err := s.store.AttemptsAt(context.Background(), strings.TrimPrefix(path, "/problems/"))
	require.NoError(s.t, err)
	return list
}

func TestEveryPage(t *testing.T) {
	s := newSite(t)
	pages := []string{"/", "/lessons", "/practice", "/progress", "/settings", "/bench", "/bench/job"}
	for _, id := range []string{exercises.LessonHeat, exercises.LessonPipe, exercises.LessonLoops, exercises.LessonTwoPipe, exercises.LessonDifference, exercises.LessonCirculator,
		exercises.LessonControl, exercises.LessonSpeed, exercises.LessonPressure, exercises.LessonBoilers} {
		pages = append(pages, "/lessons/"+id)
	}
	for _, f := range exercises.Families() {
		pages = append(pages, "/practice/"+f.ID)
	}
	for _, units := range []string{"us", "si"} {
		require.Equal(t, http.StatusSeeOther, s.post("/settings", url.Values{"units": {units}, "theme": {"dark"}, "name": {"Sam"}}).Code)
		for _, p := range pages {
			w := s.get(p)
			require.Equal(t, http.StatusOK, w.Code, p)
			body := w.Body.String()
			require.True(t, strings.HasSuffix(strings.TrimSpace(body), "</html>"), p)
			require.Contains(t, body, `data-theme="dark"`)
			require.NotRegexp(t, `\sstyle="|<script>|onclick=`, body, "%s: inline style or script", p)
			require.NotContains(t, body, "ZgotmplZ", p)
			require.Contains(t, w.Header().Get("Content-Security-Policy"), "default-src 'none'")
		}
	}
}

// Every family at every level can be worked on the site to a right answer.
func TestEveryFamilyToTheEnd(t *testing.T) {
	s := newSite(t)
	for _, f := range exercises.Families() {
		for _, level := range []string{"1", "2", "3"} {
			path, key, p := s.start(f.ID, level)
			w := s.post(path+"/answers", rightForm(key, p))
			require.Equal(t, http.StatusSeeOther, w.Code, "%s %s: %s", f.ID, level, w.Body)
			page := s.get(path).Body.String()
			require.Contains(t, page, `id="result" class="verdict right"`, "%s level %s", f.ID, level)
			require.Contains(t, page, `id="solution"`)
		}
	}
}

func TestSlipIsNamedAndSolutionWaits(t *testing.T) {
	s := newSite(t)
	path, key, p := s.start("flow-from-load", "1")
	before := s.get(path).Body.String()
	slip := p.Parts[0].Slips[0]
	for _, secret := range []string{slip.Say, slip.ID, p.Parts[0].Answer.Quantity.Text(), p.Steps[0].Substituted} {
		require.NotContains(t, before, secret, "nothing of the answer is in the page before it is marked")
	}
	require.Equal(t, http.StatusBadRequest, s.post(path+"/solution", nil).Code, "no solution before a try")
	require.Equal(t, http.StatusSeeOther, s.post(path+"/answers", url.Values{"key": {key}, "part-flow": {slip.Answer.Quantity.Text()}}).Code)
	page := s.get(path).Body.String()
	require.Contains(t, page, "A known slip")
	require.Contains(t, page, `data-verdict="slip"`)
	require.NotContains(t, page, `id="solution"`)
	require.Equal(t, http.StatusSeeOther, s.post(path+"/solution", nil).Code)
	require.Contains(t, s.get(path).Body.String(), `id="solution"`)
}

// The same form sent twice is one attempt.
func TestDoubleSubmission(t *testing.T) {
	s := newSite(t)
	path, key, p := s.start("flow-from-load", "1")
	for range 3 {
		require.Equal(t, http.StatusSeeOther, s.post(path+"/answers", rightForm(key, p)).Code)
	}
	require.Len(t, s.attempts(path), 1)
}

func TestUnreadableAnswerLosesNothing(t *testing.T) {
	s := newSite(t)
	path, key, _ := s.start("flow-from-load", "1")
	w := s.post(path+"/answers", url.Values{"key": {key}, "part-flow": {`six "gpm" <b>`}})
	require.Equal(t, http.StatusUnprocessableEntity, w.Code)
	body := w.Body.String()
	require.Contains(t, body, `value="six &#34;gpm&#34; &lt;b&gt;"`, "what was typed is still there, as text")
	require.Contains(t, body, `href="#part-flow"`)
	require.Contains(t, body, "45 gpm", "it says what would be accepted")
	require.Empty(t, s.attempts(path))
}

func TestHostileText(t *testing.T) {
	s := newSite(t)
	hostile := `<script>alert(1)</script>`
	require.Equal(t, http.StatusSeeOther, s.post("/settings", url.Values{"units": {"us"}, "theme": {"auto"}, "name": {hostile}}).Code)
	s.post("/lessons/"+exercises.LessonHeat+"/read", nil)
	require.NotContains(t, s.get("/").Body.String(), hostile)
	require.Contains(t, s.get("/").Body.String(), "&lt;script&gt;")
	path, key, _ := s.start("flow-from-load", "1")
	for _, typed := range []string{hostile, "6 gpm<script>", strings.Repeat("9", 5000), "\x00\xff", "1e999", "6' OR 1=1 --"} {
		w := s.post(path+"/answers", url.Values{"key": {key}, "part-flow": {typed}})
		require.Equal(t, http.StatusUnprocessableEntity, w.Code, "%.30q", typed)
		require.NotContains(t, w.Body.String(), "<script>")
	}
	for _, q := range []string{"?carried.flow=" + url.QueryEscape(hostile), "?predict-1=" + url.QueryEscape(hostile), "?carried.flow=1e9", "?carried.flow=NaN"} {
		w := s.get("/lessons/" + exercises.LessonHeat + q)
		require.Equal(t, http.StatusBadRequest, w.Code, q)
		require.NotContains(t, w.Body.String(), hostile)
	}
	w := s.get("/bench?length=" + url.QueryEscape(hostile) + "&width=-4&height=9999&outlet=9")
	require.Equal(t, http.StatusUnprocessableEntity, w.Code)
	require.NotContains(t, w.Body.String(), hostile)
}

func TestRefusals(t *testing.T) {
	s := newSite(t)
	for path, want := range map[string]int{
		"/nope": 404, "/lessons/nope": 404, "/practice/nope": 404, "/problems/nope": 404, "/problems/nope/example": 404,
		"/lessons/" + exercises.LessonHeat + "/figures/nope": 404, "/static/nope.css": 404, "/problems/" + strings.Repeat("x", 5000): 404,
	} {
		require.Equal(t, want, s.get(path).Code, path)
	}
	require.Equal(t, http.StatusMethodNotAllowed, s.post("/progress", nil).Code)
	for _, restored := range []string{"/problems/x/answers", "/problems/x/hint"} {
		require.Equal(t, "/problems/x", s.get(restored).Header().Get("Location"), "a restored tab leads back to the problem")
	}
	require.Equal(t, http.StatusNotFound, s.post("/problems/nope/answers", url.Values{"key": {"0123456789abcdef"}}).Code)
	require.Equal(t, http.StatusBadRequest, s.post("/practice/flow-from-load", url.Values{"level": {"9"}}).Code)
	require.Equal(t, http.StatusBadRequest, s.post("/settings", url.Values{"units": {"cubits"}, "theme": {"auto"}}).Code)
	require.Equal(t, http.StatusUnprocessableEntity, s.post("/settings", url.Values{"units": {"us"}, "theme": {"auto"}, "name": {strings.Repeat("n", 61)}}).Code)
	path, _, _ := s.start("flow-from-load", "1")
	require.Equal(t, http.StatusBadRequest, s.post(path+"/answers", url.Values{"key": {"short"}, "part-flow": {"6"}}).Code)
	require.Equal(t, http.StatusRequestEntityTooLarge, s.post(path+"/answers", url.Values{"key": {"0123456789abcdef"}, "part-flow": {strings.Repeat("9", 200_000)}}).Code)
}

// Another learner's problem is as if it were not there.
func TestSomebodyElsesProblem(t *testing.T) {
	s := newSite(t)
	path, key, p := s.start("flow-from-load", "1")
	me := db.Learner{ID: 2, Units: "us", Theme: "auto"}
	site := &Site{store: s.store, course: &lessons.Course{}, now: func() time.Time { return noon }, random: &lockedSource{r: rand.NewChaCha8([32]byte{3})}, log: slog.New(slog.NewTextHandler(io.Discard, nil))}
	site.assets = loadAssets()
	site.pages = loadPages(site.assets)
	site.problems, _ = lru.New[string, *exercises.Problem](8)
	site.person.learner.Store(&me)
	other := &testSite{t: t, handler: site.routes()}
	for _, w := range []*httptest.ResponseRecorder{other.get(path), other.post(path+"/answers", rightForm(key, p)), other.post(path+"/hint", nil), other.post(path+"/solution", nil), other.post(path+"/example", nil), other.get(path + "/example")} {
		require.Equal(t, http.StatusNotFound, w.Code)
	}
	require.Empty(t, s.attempts(path))
}

func TestCrossSitePostsAreRefused(t *testing.T) {
	s := newSite(t)
	r := httptest.NewRequest(http.MethodPost, "/settings", strings.NewReader("units=si&theme=auto"))
	r.Header.Set("Content-Type", "application/x-www-form-urlencoded")
	r.Header.Set("Sec-Fetch-Site", "cross-site")
	require.Equal(t, http.StatusForbidden, s.request(r).Code)
	require.Contains(t, s.get("/settings").Body.String(), `value="us" checked`)
}

func TestHintsAndExample(t *testing.T) {
	s := newSite(t)
	path, key, p := s.start("flow-from-load", "2")
	w := s.post(path+"/hint", url.Values{"key": {key}, "part-flow": {"half typed"}})
	require.Equal(t, http.StatusOK, w.Code)
	require.Contains(t, w.Body.String(), `value="half typed"`, "a hint does not lose what was typed")
	require.Contains(t, w.Body.String(), "Another hint")
	require.Equal(t, http.StatusSeeOther, s.get(path+"/example").Code, "the example opens by its button only")
	require.Equal(t, http.StatusSeeOther, s.post(path+"/example", nil).Code)
	example := s.get(path + "/example")
	require.Equal(t, http.StatusOK, example.Code)
	require.NotContains(t, example.Body.String(), p.Statement, "the example has other numbers")
	require.Equal(t, http.StatusSeeOther, s.post(path+"/answers", rightForm(s.key(path), p)).Code)
	require.True(t, s.attempts(path)[0].Aided)
}

// Progress is found again tomorrow, and fades.
func TestProgressOverDays(t *testing.T) {
	s := newSite(t)
	require.Contains(t, s.get("/").Body.String(), "Begin here")
	s.post("/lessons/"+exercises.LessonHeat+"/read", nil)
	require.Contains(t, s.get("/lessons").Body.String(), "<span>read</span>")
	for range 3 {
		path, key, p := s.start("flow-from-load", "2")
		s.post(path+"/answers", rightForm(key, p))
	}
	require.Contains(t, s.get("/").Body.String(), "held, due in 4 days")
	s.clock.Add((5 * 24 * time.Hour).Milliseconds())
	require.Contains(t, s.get("/").Body.String(), "Try it again before it fades")
	require.Contains(t, s.get("/progress").Body.String(), "1 fading")
	path, _, _ := s.start("load-from-flow", "1")
	require.Contains(t, s.get("/").Body.String(), path, "an open problem waits")
}

func TestFigureAndPredict(t *testing.T) {
	s := newSite(t)
	lesson := "/lessons/" + exercises.LessonDifference
	opening := s.get(lesson + "/figures/mains").Body.String()
	closed := s.get(lesson + "/figures/mains?mains.near_valve=50").Body.String()
	require.NotEqual(t, opening, closed)
	require.Contains(t, closed, "<svg")
	require.Contains(t, s.get(lesson+"?mains.near_valve=50").Body.String(), "50\u00a0% open")
	require.Contains(t, s.get(lesson+"?predict-1=rises").Body.String(), `class="verdict right"`)
	require.Contains(t, s.get(lesson+"?predict-1=falls").Body.String(), `class="verdict wrong"`)
}

func TestStaticFilesAreImmutable(t *testing.T) {
	s := newSite(t)
	found := regexp.MustCompile(`/static/[a-z0-9.]+`).FindAllString(s.get("/").Body.String(), -1)
	require.Len(t, found, 3)
	for _, f := range found {
		w := s.get(f)
		require.Equal(t, http.StatusOK, w.Code)
		require.Contains(t, w.Header().Get("Cache-Control"), "immutable")
	}
}
