package web

import (
	"bytes"
	"fmt"
	"html/template"
	"io/fs"
	"net/http"
	"path"
	"strings"

	"github.com/gin-gonic/gin"

	"loopwright/exercises/formula"
	"loopwright/grader"
)

// page is what the layout needs around a view.
type page struct {
	Title string
	Nav   string // which entry of the navigation is current
	Theme string
	View  any
}

// pages holds the parsed templates, one set for each page.
type pages struct{ sets map[string]*template.Template }

// loadPages parses templates/ once. Files that start with an underscore are
// components, which every page may use.
func loadPages(a *assets) *pages {
	funcs := template.FuncMap{
		"asset":   a.url,
		"mathml":  mathML,
		"verdict": func(v grader.Verdict) verdictWords { return verdicts[v] },
		"icon":    icon,
		"inc":     func(i int) int { return i + 1 },
		"lower":   strings.ToLower,
	}
	names, err := fs.Glob(files, "templates/*.html")
	if err != nil {
		panic(err)
	}
	shared := template.New("").Funcs(funcs)
	for _, n := range names {
		if strings.HasPrefix(path.Base(n), "_") {
			template.Must(shared.New(path.Base(n)).Parse(string(mustRead(n))))
		}
	}
	p := &pages{map[string]*template.Template{}}
	for _, n := range names {
		if name := path.Base(n); !strings.HasPrefix(name, "_") {
			set := template.Must(template.Must(shared.Clone()).Parse(string(mustRead(n))))
			p.sets[strings.TrimSuffix(name, ".html")] = set
		}
	}
	return p
}

// render fills a page into a buffer: half a page is never sent.
func (p *pages) render(name string, v page) ([]byte, error) {
	return p.execute(name, "layout", v)
}

func (p *pages) execute(name, block string, v any) ([]byte, error) {
	set, ok := p.sets[name]
	if !ok {
		return nil, fmt.Errorf("web: no page %q", name)
	}
	var b bytes.Buffer
	if err := set.ExecuteTemplate(&b, block, v); err != nil {
		return nil, fmt.Errorf("page %s: %w", name, err)
	}
	return b.Bytes(), nil
}

// show renders a page and writes it.
func (s *Site) show(c *gin.Context, status int, name string, v page) {
	v.Theme = s.person.get().Theme
	b, err := s.pages.render(name, v)
	if err != nil {
		s.fail(c, err)
		return
	}
	writeHTML(c, status, b)
}

func writeHTML(c *gin.Context, status int, b []byte) {
	c.Header("Cache-Control", "no-store")
	c.Data(status, "text/html; charset=utf-8", b)
}

// mathML draws a step's formula.
func mathML(symbol, expression string) (template.HTML, error) {
	e, err := formula.Parse(expression)
	if err != nil {
		return "", err
	}
	return template.HTML(e.MathML(symbol)), nil // #nosec: every name is escaped by package formula
}

// verdictWords say a verdict.
type verdictWords struct{ Word, Icon string }

var verdicts = map[grader.Verdict]verdictWords{
	grader.Right:     {"Right", "check"},
	grader.Rounding:  {"Right, but rounded too hard", "near"},
	grader.Unit:      {"Right number, wrong unit", "near"},
	grader.KnownSlip: {"A known slip", "turn"},
	grader.Wrong:     {"Not right", "cross"},
}

// icon draws a small sign. Each has its own shape, so that color is never
// needed to tell them apart; the word stands beside it.
func icon(name string) template.HTML {
	shapes := map[string]string{
		"check":     `<path d="M4 12.5l5 5L20 6.5"/>`,
		"near":      `<path d="M4 9c3-3 6 3 9 0s5-1 7-2M4 16c3-3 6 3 9 0s5-1 7-2"/>`,
		"turn":      `<path d="M5 20v-8a5 5 0 0 1 5-5h9M15 3l4 4-4 4"/>`,
		"cross":     `<path d="M6 6l12 12M18 6L6 18"/>`,
		"held":      `<circle cx="12" cy="12" r="8" fill="currentColor"/>`,
		"fading":    `<circle cx="12" cy="12" r="8"/><path d="M12 4a8 8 0 0 1 0 16z" fill="currentColor"/>`,
		"learning":  `<circle cx="12" cy="12" r="8"/><path d="M12 12V4a8 8 0 0 1 8 8z" fill="currentColor"/>`,
		"not begun": `<circle cx="12" cy="12" r="8"/>`,
	}
	return template.HTML(`<svg viewBox="0 0 24 24" aria-hidden="true" focusable="false" fill="none" stroke="currentColor" stroke-width="2.4" stroke-linecap="round" stroke-linejoin="round">` + shapes[name] + `</svg>`) // #nosec: fixed strings
}

// outcome is the status and the sentence for one kind of trouble.
type outcome struct {
	status int
	title  string
	say    string
}

// showTrouble shows an error page.
func (s *Site) showTrouble(c *gin.Context, p outcome) {
	b, err := s.pages.render("trouble", page{Title: p.title, Theme: s.person.get().Theme, View: p.view()})
	if err != nil {
		c.String(http.StatusInternalServerError, "Something went wrong here.")
		return
	}
	writeHTML(c, p.status, b)
}

// trouble is the view of an error page.
type trouble struct{ Title, Say string }

func (p outcome) view() trouble { return trouble{p.title, p.say} }
