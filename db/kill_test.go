package db

import (
	"bufio"
	"fmt"
	"math/rand/v2"
	"os"
	"os/exec"
	"path/filepath"
	"sync"
	"testing"
	"time"

	"github.com/stretchr/testify/require"
)

// TestKill kills a process that records attempts, at random moments: every
// attempt that it acknowledged is there, and the file is sound.
func TestKill(t *testing.T) {
	if path := os.Getenv("LOOPWRIGHT_TEST_KILL"); path != "" {
		recordForEver(path)
		return
	}
	rounds := 60
	if testing.Short() {
		rounds = 5
	}
	path := filepath.Join(t.TempDir(), "test.db")
	binary, err := os.Executable()
	require.NoError(t, err)
	rng := rand.New(rand.NewPCG(1, 2))
	acknowledged := 0
	for round := range rounds {
		cmd := exec.CommandContext(t.Context(), binary, "-test.run", "^TestKill$")
		cmd.Env = append(os.Environ(), "LOOPWRIGHT_TEST_KILL="+path, fmt.Sprintf("LOOPWRIGHT_TEST_ROUND=%d", round))
		out, err := cmd.StdoutPipe()
		require.NoError(t, err)
		require.NoError(t, cmd.Start())
		var keys []string
		lines := bufio.NewScanner(out)
		for lines.Scan() {
			if len(keys) == 0 {
				// Let it run a moment from its first acknowledgment on.
				time.AfterFunc(time.Duration(rng.IntN(60_000))*time.Microsecond, func() { _ = cmd.Process.Kill() })
			}
			keys = append(keys, lines.Text())
		}
		_ = cmd.Wait() // killed
		require.NotEmpty(t, keys, "round %d recorded nothing", round)
		// The last line may have been cut off.
		acknowledged += len(keys) - 1
		s, err := Open(ctx, path)
		require.NoError(t, err)
		require.NoError(t, s.IntegrityCheck(ctx))
		kept := map[string]bool{}
		rows, err := s.reader.QueryContext(ctx, `SELECT submission_key FROM attempt`)
		require.NoError(t, err)
		for rows.Next() {
			var k string
			require.NoError(t, rows.Scan(&k))
			kept[k] = true
		}
		require.NoError(t, rows.Err())
		for _, k := range keys[:len(keys)-1] {
			require.True(t, kept[k], "round %d: the acknowledged attempt %s is missing", round, k)
		}
		require.NoError(t, s.Close())
	}
	t.Logf("%d rounds, %d acknowledged attempts, none missing", rounds, acknowledged)
}

// recordForEver records attempts from eight learners at once and prints the
// key of each after its acknowledgment.
func recordForEver(path string) {
	s, err := Open(ctx, path)
	if err != nil {
		panic(err)
	}
	l, err := s.LocalLearner(ctx, noon)
	if err != nil {
		panic(err)
	}
	round := os.Getenv("LOOPWRIGHT_TEST_ROUND")
	if err := s.SavePosed(ctx, Posed{ID: round, Learner: l.ID, Family: "f", Problem: []byte(`{}`), PosedAt: noon}); err != nil {
		panic(err)
	}
	var print sync.Mutex
	for g := range 8 {
		go func() {
			for i := 0; ; i++ {
				key := fmt.Sprintf("%s/%d/%d", round, g, i)
				if _, _, err := s.RecordAttempt(ctx, l.ID, attemptAt(round, key), counting); err != nil {
					panic(err)
				}
				print.Lock()
				fmt.Println(key)
				print.Unlock()
			}
		}()
	}
	select {}
}
