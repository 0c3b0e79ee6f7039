package web

import (
	"errors"
	"net/http"

	"github.com/gin-gonic/gin"

	"loopwright/db"
	"loopwright/exercises"
)

// badRequest is a request that no form of the site sends.
type badRequest struct{ say string }

func (e *badRequest) Error() string { return e.say }

// fail answers with what an error means to a person. What only a developer
// understands goes to the log alone.
func (s *Site) fail(c *gin.Context, err error) {
	o := s.outcomeOf(err)
	if o.status >= http.StatusInternalServerError {
		s.log.Error("request failed", "method", c.Request.Method, "path", c.Request.URL.Path, "error", err)
	}
	s.showTrouble(c, o)
}

// outcomeOf is the one place where errors become statuses and sentences.
func (s *Site) outcomeOf(err error) outcome {
	var missing *exercises.NotFoundError
	var bad *badRequest
	var kept *db.Error
	var large *http.MaxBytesError
	switch {
	case errors.As(err, &missing), db.IsKind(err, db.NotFound):
		return outcome{http.StatusNotFound, "There is nothing here", "This page does not exist, or it belongs to somebody else."}
	case errors.As(err, &bad):
		return outcome{http.StatusBadRequest, "That could not be read", bad.say}
	case errors.As(err, &large):
		return outcome{http.StatusRequestEntityTooLarge, "That was too long", "The form held more text than any answer needs. Go back, shorten it and send it again."}
	case errors.As(err, &kept):
		return outcome{http.StatusServiceUnavailable, "That could not be saved", kept.Say + " Your answer is still in the form: go back and send it again."}
	}
	return outcome{http.StatusInternalServerError, "Something went wrong here", "It is not your doing. Nothing that was saved is lost. Go back and try again; if it happens again, tell whoever runs this site what you did last."}
}
