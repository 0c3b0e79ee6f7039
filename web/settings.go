package web

import (
	"net/http"
	"strings"
	"unicode/utf8"

	"github.com/gin-gonic/gin"

	"loopwright/db"
)

// settingsView is the learner's settings as they are or as they were typed.
type settingsView struct {
	db.Learner
	Saved     bool
	NameError string
}

// longestName is in characters.
const longestName = 60

func (s *Site) settings(c *gin.Context) {
	s.show(c, http.StatusOK, "settings", page{Title: "Settings", Nav: "settings",
		View: settingsView{Learner: s.person.get(), Saved: c.Query("saved") != ""}})
}

func (s *Site) saveSettings(c *gin.Context) {
	if err := form(c); err != nil {
		s.fail(c, err)
		return
	}
	l := s.person.get()
	l.Name, l.Units, l.Theme = strings.TrimSpace(c.PostForm("name")), c.PostForm("units"), c.PostForm("theme")
	if l.Units != "us" && l.Units != "si" {
		s.fail(c, &badRequest{"Choose US customary or SI units."})
		return
	}
	if l.Theme != "auto" && l.Theme != "light" && l.Theme != "dark" {
		s.fail(c, &badRequest{"Choose a look: like the device, light or dark."})
		return
	}
	if n := utf8.RuneCountInString(l.Name); n > longestName || !utf8.ValidString(l.Name) {
		s.show(c, http.StatusUnprocessableEntity, "settings", page{Title: "Settings", Nav: "settings",
			View: settingsView{Learner: l, NameError: "Use at most 60 characters."}})
		return
	}
	if err := s.store.SaveSettings(c.Request.Context(), l); err != nil {
		s.fail(c, err)
		return
	}
	s.person.learner.Store(&l)
	c.Redirect(http.StatusSeeOther, "/settings?saved=1")
}
