package web

import (
	"bufio"
	"context"
	"database/sql"
	"fmt"
	"io"
	"net"
	"net/http"
	"net/http/httptest"
	"net/url"
	"path/filepath"
	"slices"
	"strings"
	"sync"
	"sync/atomic"
	"testing"
	"time"

	"github.com/gin-gonic/gin"
	_ "github.com/mattn/go-sqlite3"
	"github.com/stretchr/testify/require"

	"loopwright/exercises"
)

// lockedSource lets many requests draw from one seeded source.
type lockedSource struct {
	mu sync.Mutex
	r  io.Reader
}

func (l *lockedSource) Read(b []byte) (int, error) {
	l.mu.Lock()
	defer l.mu.Unlock()
	return l.r.Read(b)
}

// BenchmarkLessonPage compares a lesson page through the whole site with a
// bare handler that returns a page of the same size. Quote the ratio.
func BenchmarkLessonPage(b *testing.B) {
	s := newSite(b)
	path := "/lessons/" + exercises.LessonDifference
	size := s.get(path).Body.Len()
	gin.SetMode(gin.ReleaseMode)
	bare := gin.New()
	page := []byte(strings.Repeat("x", size))
	bare.GET("/page", func(c *gin.Context) { c.Data(http.StatusOK, "text/html; charset=utf-8", page) })
	run := func(h http.Handler, path string) func(*testing.B) {
		return func(b *testing.B) {
			for b.Loop() {
				w := httptest.NewRecorder()
				h.ServeHTTP(w, httptest.NewRequest(http.MethodGet, path, nil))
				if w.Code != http.StatusOK {
					b.Fatal(w.Code)
				}
			}
		}
	}
	b.Run(fmt.Sprintf("yardstick: bare handler, %d bytes", size), run(bare, "/page"))
	b.Run("lesson page", run(s.handler, path))
	b.Run("figure after a control moved", run(s.handler, path+"/figures/mains?mains.near_valve=50"))
}

// BenchmarkAnswers compares acknowledged answers over HTTP with a bare durable
// one-row transaction in the same run. Quote the ratios.
func BenchmarkAnswers(b *testing.B) {
	b.Run("yardstick: bare one-row durable transaction", func(b *testing.B) {
		store, err := sql.Open("sqlite3", "file:"+filepath.Join(b.TempDir(), "bare.db")+"?_journal_mode=WAL&_synchronous=FULL&_txlock=immediate&_stmt_cache_size=8")
		require.NoError(b, err)
		defer func() { _ = store.Close() }()
		store.SetMaxOpenConns(1)
		_, err = store.ExecContext(context.Background(), `CREATE TABLE t (id INTEGER PRIMARY KEY, text TEXT) STRICT`)
		require.NoError(b, err)
		for b.Loop() {
			tx, err := store.BeginTx(context.Background(), nil)
			require.NoError(b, err)
			_, err = tx.ExecContext(context.Background(), `INSERT INTO t (text) VALUES ('x')`)
			require.NoError(b, err)
			require.NoError(b, tx.Commit())
		}
	})
	b.Run("one after another", func(b *testing.B) {
		s := newSite(b)
		path, key, p := s.start("flow-from-load", "2")
		form := rightForm(key, p)
		n := 0
		for b.Loop() {
			n++
			form.Set("key", fmt.Sprintf("%020d", n))
			if w := s.post(path+"/answers", form); w.Code != http.StatusSeeOther {
				b.Fatal(w.Code)
			}
		}
	})
	b.Run("64 learners at once over HTTP", func(b *testing.B) { answersAtOnce(b, 64) })
}

// answersAtOnce answers from many connections over loopback and reports the
// tail. The learners write plain HTTP/1.1 and read the status line and headers:
// a client library would cost more than the server. It is bounded by b.N.
func answersAtOnce(b *testing.B, learners int) {
	s := newSite(b)
	path, key, p := s.start("flow-from-load", "2")
	server := httptest.NewServer(s.handler)
	defer server.Close()
	address := strings.TrimPrefix(server.URL, "http://")
	body := rightForm(key, p)
	var n atomic.Int64
	var mu sync.Mutex
	var all []time.Duration
	b.ResetTimer()
	var wg sync.WaitGroup
	for range learners {
		wg.Go(func() {
			took, err := answerOn(address, path, body, &n, int64(b.N))
			if err != nil {
				b.Error(err)
			}
			mu.Lock()
			all = append(all, took...)
			mu.Unlock()
		})
	}
	wg.Wait()
	b.StopTimer()
	if len(all) > 0 {
		slices.Sort(all)
		b.ReportMetric(float64(all[len(all)*99/100].Microseconds())/1000, "ms-p99")
	}
}

// answerOn submits answers with new keys on one connection until limit.
func answerOn(address, path string, form url.Values, n *atomic.Int64, limit int64) (took []time.Duration, err error) {
	conn, err := net.Dial("tcp", address)
	if err != nil {
		return nil, err
	}
	defer func() { _ = conn.Close() }()
	reader := bufio.NewReader(conn)
	answer := url.QueryEscape(form.Get("part-flow"))
	for {
		i := n.Add(1)
		if i > limit {
			return took, nil
		}
		body := fmt.Sprintf("key=%020d&part-flow=%s", i, answer)
		begin := time.Now()
		if _, err := fmt.Fprintf(conn, "POST %s/answers HTTP/1.1\r\nHost: %s\r\nContent-Type: application/x-www-form-urlencoded\r\nContent-Length: %d\r\n\r\n%s", path, address, len(body), body); err != nil {
			return took, err
		}
		status, err := reader.ReadString('\n')
		if err != nil || !strings.Contains(status, " 303 ") {
			return took, fmt.Errorf("answer %d: %q, %v", i, status, err)
		}
		for line := status; line != "\r\n"; {
			if line, err = reader.ReadString('\n'); err != nil {
				return took, err
			}
		}
		took = append(took, time.Since(begin))
	}
}
