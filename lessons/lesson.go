package lessons

import (
	"bytes"
	"embed"
	"errors"
	"fmt"
	"io/fs"
	"slices"
	"strings"

	"github.com/goccy/go-yaml"

	"loopwright/exercises"
)

//go:embed content/*.md
var content embed.FS

// Lesson is one lesson as its author wrote it.
type Lesson struct {
	ID       string        `yaml:"id"`
	Title    string        `yaml:"title"`
	Module   string        `yaml:"module"`
	Order    int           `yaml:"order"`
	Minutes  int           `yaml:"minutes"` // reading time
	Lead     string        `yaml:"lead"`
	Outcomes []string      `yaml:"outcomes"`
	Skills   []string      `yaml:"skills"`
	Next     []string      `yaml:"next"` // families to work after reading
	Values   yaml.MapSlice `yaml:"values"`
	Cautions []string      `yaml:"cautions"`
	Sources  []string      `yaml:"sources"`
	body     []byte
	file     string
	bodyLine int // line of the file at which the body starts
	views    map[exercises.System]*View
}

// Course is every lesson in order.
type Course struct {
	Lessons []*Lesson
}

// Load reads the lessons that are built into the program, evaluates their
// values and renders them in both systems of units. An error names file and
// line.
func Load() (*Course, error) { return LoadFrom(content, "content") }

// LoadFrom reads every .md file of a folder.
func LoadFrom(files fs.FS, folder string) (*Course, error) {
	names, err := fs.Glob(files, folder+"/*.md")
	if err != nil {
		return nil, err
	}
	c := &Course{}
	var problems []error
	for _, name := range names {
		source, err := fs.ReadFile(files, name)
		if err != nil {
			return nil, err
		}
		l, err := parse(name, source)
		if err == nil {
			err = l.renderAll()
		}
		if err != nil {
			problems = append(problems, err)
			continue
		}
		c.Lessons = append(c.Lessons, l)
	}
	slices.SortStableFunc(c.Lessons, func(a, b *Lesson) int { return a.Order - b.Order })
	return c, errors.Join(problems...)
}

// Lesson finds a lesson by id.
func (c *Course) Lesson(id string) (*Lesson, error) {
	i := slices.IndexFunc(c.Lessons, func(l *Lesson) bool { return l.ID == id })
	if i < 0 {
		return nil, &exercises.NotFoundError{What: "lesson", ID: id}
	}
	return c.Lessons[i], nil
}

// After is the lesson that follows, or nil.
func (c *Course) After(l *Lesson) *Lesson {
	i := slices.Index(c.Lessons, l)
	if i < 0 || i+1 >= len(c.Lessons) {
		return nil
	}
	return c.Lessons[i+1]
}

// View is the lesson rendered in a system of units.
func (l *Lesson) View(units exercises.System) *View { return l.views[units] }

const fence = "---\n"

// parse splits front matter from body. Unknown fields of the front matter are
// errors.
func parse(file string, source []byte) (*Lesson, error) {
	source = bytes.ReplaceAll(source, []byte("\r\n"), []byte("\n"))
	rest, ok := bytes.CutPrefix(source, []byte(fence))
	front, body, closed := bytes.Cut(rest, []byte("\n"+fence))
	if !ok || !closed {
		return nil, fmt.Errorf("%s:1: a lesson starts with front matter between two lines of ---", file)
	}
	l := &Lesson{file: file, body: body, bodyLine: bytes.Count(front, []byte("\n")) + 4}
	if err := yaml.UnmarshalWithOptions(front, l, yaml.Strict()); err != nil {
		return nil, fmt.Errorf("%s: front matter: %s", file, yaml.FormatError(err, false, true))
	}
	return l, l.complete()
}

// complete names the fields that every lesson must have.
func (l *Lesson) complete() error {
	var missing []string
	for name, has := range map[string]bool{
		"id": l.ID != "", "title": l.Title != "", "module": l.Module != "", "order": l.Order > 0, "minutes": l.Minutes > 0,
		"lead": l.Lead != "", "outcomes": len(l.Outcomes) > 0, "skills": len(l.Skills) > 0, "next": len(l.Next) > 0,
		"cautions": len(l.Cautions) > 0, "sources": len(l.Sources) > 0,
	} {
		if !has {
			missing = append(missing, name)
		}
	}
	if missing == nil {
		return nil
	}
	slices.Sort(missing)
	return fmt.Errorf("%s: front matter: missing %s", l.file, strings.Join(missing, ", "))
}
