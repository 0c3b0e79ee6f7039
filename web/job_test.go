package web

import (
	"net/http"
	"net/url"
	"testing"

	"github.com/stretchr/testify/require"

	"loopwright/grader/sizing"
)

// The query of a job that can be sized, in US units.
func smallJob() url.Values {
	return url.Values{"layout": {"two-pipe-direct"}, "emitter": {"fin-tube"}, "trim": {"speed"}, "supply": {"180 F"}, "drop": {"20 F"}, "outdoor": {"0 F"}, "height": {"18 ft"}, "main": {"0 ft"}, "rows": {"2"},
		"load-1": {"7000"}, "indoor-1": {"70"}, "distance-1": {"12 ft"}, "branch-1": {"5"},
		"load-2": {"6,000 BTU/h"}, "indoor-2": {"21 C"}, "distance-2": {"4 m"}, "branch-2": {"2 m"}}
}

func TestSizeASmallJob(t *testing.T) {
	s := newSite(t)
	first := s.get("/bench/job")
	require.Equal(t, http.StatusOK, first.Code)
	require.NotContains(t, first.Body.String(), `data-test="job-sheet"`, "nothing is sized before it is asked for")
	for _, layout := range sizing.Layouts() {
		q := smallJob()
		q.Set("layout", string(layout))
		q.Set("main", "15 ft")
		w := s.get("/bench/job?" + q.Encode())
		require.Equal(t, http.StatusOK, w.Code, layout)
		body := w.Body.String()
		require.Contains(t, body, layout.Name())
		require.Contains(t, body, "expansion tank, at least")
	}
}

func TestSmallJobSaysWhatIsWrong(t *testing.T) {
	s := newSite(t)
	for _, c := range []struct{ field, typed, want string }{
		{"load-1", "", "nothing was typed"},
		{"load-1", "3 gpm", "is a flow"},
		{"supply", "900 F", "outside"},
		{"distance-2", "<script>alert(1)</script>", "Cannot read"},
		{"supply", "80 F", "no warmer than the room"},
		{"load-2", "900 kW", "cannot be sized"},
	} {
		q := smallJob()
		q.Set(c.field, c.typed)
		w := s.get("/bench/job?" + q.Encode())
		require.Equal(t, http.StatusUnprocessableEntity, w.Code, c.typed)
		require.Contains(t, w.Body.String(), c.want)
		require.NotContains(t, w.Body.String(), "<script>alert")
		require.NotContains(t, w.Body.String(), "data-test=\"job-sheet\"")
	}
}

// One more row keeps what was typed and complains about nothing.
func TestOneMoreRoom(t *testing.T) {
	s := newSite(t)
	q := smallJob()
	q.Set("more", "1")
	q.Set("load-1", "x")
	w := s.get("/bench/job?" + q.Encode())
	require.Equal(t, http.StatusOK, w.Code)
	require.Contains(t, w.Body.String(), "Room 3")
	require.Contains(t, w.Body.String(), "6,000 BTU/h")
	require.NotContains(t, w.Body.String(), "error-summary")
	q.Set("rows", "99999")
	require.Equal(t, http.StatusOK, s.get("/bench/job?"+q.Encode()).Code)
}
