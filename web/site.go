package web

import (
	"context"
	"errors"
	"io"
	"log/slog"
	"net/http"
	"sync"
	"sync/atomic"
	"time"

	"github.com/gin-gonic/gin"
	lru "github.com/hashicorp/golang-lru/v2"

	"loopwright/db"
	"loopwright/exercises"
	"loopwright/lessons"
)

// Config is what the site stands on. Clock and randomness are passed in, so
// that tests decide them.
type Config struct {
	Store  *db.Store
	Course *lessons.Course
	Now    func() time.Time
	Random io.Reader // for ids and submission keys; cryptographic
	Log    *slog.Logger
}

// Site serves one local learner. Listening to others needs accounts, which
// this version does not have: cmd refuses any address but loopback.
type Site struct {
	store  *db.Store
	course *lessons.Course
	now    func() time.Time
	random io.Reader
	log    *slog.Logger
	assets *assets
	pages  *pages
	person person
	cached sync.Map // lesson pages by lessonKey
	// problems are posed problems that were read lately, by id; what was
	// posed never changes.
	problems *lru.Cache[string, *exercises.Problem]
}

// person is the local learner and what each page shows of them. This process
// is the only one that writes the database, so what it keeps in memory stays
// right.
type person struct {
	learner atomic.Pointer[db.Learner]
	mu      sync.Mutex
	read    map[string]bool
}

func (p *person) get() db.Learner { return *p.learner.Load() }

func (p *person) hasRead(lesson string) bool {
	p.mu.Lock()
	defer p.mu.Unlock()
	return p.read[lesson]
}

func (p *person) markRead(lesson string) {
	p.mu.Lock()
	defer p.mu.Unlock()
	p.read[lesson] = true
}

func (p *person) readAll() map[string]bool {
	p.mu.Lock()
	defer p.mu.Unlock()
	all := make(map[string]bool, len(p.read))
	for k, v := range p.read {
		all[k] = v
	}
	return all
}

// problemsKept bounds the problems in memory: about 20 kB each.
const problemsKept = 512

// maxBody is the most that a form of the site can hold, with room to spare.
const maxBody = 64 << 10

// New builds the site.
func New(ctx context.Context, cfg Config) (http.Handler, error) {
	a := loadAssets()
	s := &Site{store: cfg.Store, course: cfg.Course, now: cfg.Now, random: cfg.Random, log: cfg.Log, assets: a, pages: loadPages(a)}
	var err error
	if s.problems, err = lru.New[string, *exercises.Problem](problemsKept); err != nil {
		return nil, err
	}
	l, err := s.store.LocalLearner(ctx, s.now())
	if err != nil {
		return nil, err
	}
	read, err := s.store.LessonsRead(ctx, l.ID)
	if err != nil {
		return nil, err
	}
	s.person.learner.Store(&l)
	s.person.read = map[string]bool{}
	for lesson := range read {
		s.person.read[lesson] = true
	}
	// A form posted from another site must not write here.
	protection := http.NewCrossOriginProtection()
	protection.SetDenyHandler(http.HandlerFunc(func(w http.ResponseWriter, _ *http.Request) {
		http.Error(w, "This form was sent from another site. Open the page here and send it again.", http.StatusForbidden)
	}))
	return protection.Handler(s.routes()), nil
}

func (s *Site) routes() http.Handler {
	gin.SetMode(gin.ReleaseMode)
	r := gin.New()
	r.HandleMethodNotAllowed = true
	r.RedirectTrailingSlash = false
	if err := r.SetTrustedProxies(nil); err != nil {
		panic(err) // nil is always taken
	}
	r.Use(gin.CustomRecoveryWithWriter(nil, func(c *gin.Context, cause any) {
		s.log.Error("request panicked", "path", c.Request.URL.Path, "cause", cause)
		s.fail(c, errors.New("panic"))
	}), secure)
	r.NoRoute(func(c *gin.Context) { s.fail(c, &exercises.NotFoundError{What: "page", ID: c.Request.URL.Path}) })
	r.NoMethod(func(c *gin.Context) {
		s.showTrouble(c, outcome{http.StatusMethodNotAllowed, "That cannot be done here", "This page cannot be called in that way. Go back and use its buttons."})
	})

	r.GET("/static/:name", s.assets.serve)
	r.GET("/", s.today)
	r.GET("/lessons", s.lessonList)
	r.GET("/lessons/:lesson", s.lesson)
	r.POST("/lessons/:lesson/read", s.readLesson)
	r.GET("/lessons/:lesson/figures/:figure", s.figure)
	r.GET("/practice", s.practice)
	r.GET("/practice/:family", s.family)
	r.POST("/practice/:family", s.pose)
	r.GET("/problems/:id", s.problem)
	r.POST("/problems/:id/answers", s.answer)
	r.POST("/problems/:id/hint", s.hint)
	// Both answer with a page of their own; a browser that restores its tab asks
	// for that address again, and belongs back at the problem.
	back := func(c *gin.Context) { c.Redirect(http.StatusSeeOther, "/problems/"+c.Param("id")) }
	r.GET("/problems/:id/answers", back)
	r.GET("/problems/:id/hint", back)
	r.POST("/problems/:id/solution", s.solution)
	r.POST("/problems/:id/example", s.openExample)
	r.GET("/problems/:id/example", s.example)
	r.GET("/progress", s.progress)
	r.GET("/settings", s.settings)
	r.POST("/settings", s.saveSettings)
	r.GET("/bench", s.bench)
	r.GET("/bench/job", s.job)
	return r
}

// policy allows what the site serves itself, and nothing inline.
const policy = "default-src 'none'; style-src 'self'; script-src 'self'; img-src 'self'; connect-src 'self'; form-action 'self'; base-uri 'none'; frame-ancestors 'none'"

func secure(c *gin.Context) {
	h := c.Writer.Header()
	h.Set("Content-Security-Policy", policy)
	h.Set("X-Content-Type-Options", "nosniff")
	h.Set("Referrer-Policy", "same-origin")
	h.Set("Cross-Origin-Opener-Policy", "same-origin")
	h.Set("Cross-Origin-Resource-Policy", "same-origin")
	c.Request.Body = http.MaxBytesReader(c.Writer, c.Request.Body, maxBody)
	c.Next()
}

// form reads the posted form within the limit.
func form(c *gin.Context) error { return c.Request.ParseForm() }

func (s *Site) units() exercises.System { return exercises.System(s.person.get().Units) }
