package db

import (
	"crypto/sha256"
	"database/sql"
	"fmt"
	"net/url"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"syscall"
	"testing"

	"github.com/stretchr/testify/require"
)

func hash(t *testing.T, path string) string {
	t.Helper()
	b, err := os.ReadFile(path)
	require.NoError(t, err)
	return fmt.Sprintf("%x", sha256.Sum256(b))
}

// filled makes a database with some content and returns its path.
func filled(t *testing.T) string {
	t.Helper()
	path := filepath.Join(t.TempDir(), "test.db")
	s, err := Open(ctx, path)
	require.NoError(t, err)
	l := learner(t, s)
	for i := range 50 {
		id := fmt.Sprint("p", i)
		require.NoError(t, s.SavePosed(ctx, Posed{ID: id, Learner: l.ID, Family: "f", Problem: []byte(`{"text":"` + strings.Repeat("x", 4000) + `"}`), PosedAt: noon}))
		_, _, err := s.RecordAttempt(ctx, l.ID, attemptAt(id, "k"), counting)
		require.NoError(t, err)
	}
	require.NoError(t, s.Close())
	return path
}

// refused asserts that a file is not opened, says why, and is left as it was.
func refused(t *testing.T, path string, want Kind, says string) {
	t.Helper()
	before := hash(t, path)
	_, err := Open(ctx, path)
	require.Error(t, err)
	require.True(t, IsKind(err, want), "%v", err)
	require.ErrorContains(t, err, says)
	require.Equal(t, before, hash(t, path), "the file was changed")
}

func TestDamagedFileIsRefused(t *testing.T) {
	for name, damage := range map[string]func(b []byte) []byte{
		"a page in the middle": func(b []byte) []byte { copy(b[len(b)/2/4096*4096:], strings.Repeat("damage! ", 512)); return b },
		"cut short":            func(b []byte) []byte { return b[:len(b)/2] },
	} {
		t.Run(name, func(t *testing.T) {
			path := filled(t)
			b, err := os.ReadFile(path)
			require.NoError(t, err)
			require.NoError(t, os.WriteFile(path, damage(b), 0o600))
			refused(t, path, Damaged, "backup in its place")
		})
	}
}

func TestOtherFilesAreRefused(t *testing.T) {
	text := filepath.Join(t.TempDir(), "letter.txt")
	require.NoError(t, os.WriteFile(text, []byte(strings.Repeat("Dear reader, this is no database. ", 100)), 0o600))
	refused(t, text, NotOurs, "not a Loopwright database")

	other := filepath.Join(t.TempDir(), "other.db")
	db, err := sql.Open("sqlite3", other)
	require.NoError(t, err)
	_, err = db.ExecContext(ctx, `CREATE TABLE recipe (id INTEGER)`)
	require.NoError(t, err)
	require.NoError(t, db.Close())
	refused(t, other, NotOurs, "another program")

	_, err = Open(ctx, t.TempDir())
	require.True(t, IsKind(err, NotOurs), "%v", err)
}

func TestNewerVersionIsRefused(t *testing.T) {
	path := filled(t)
	db, err := sql.Open("sqlite3", path)
	require.NoError(t, err)
	_, err = db.ExecContext(ctx, `PRAGMA user_version = 99`)
	require.NoError(t, err)
	require.NoError(t, db.Close())
	refused(t, path, NewerVersion, "newer Loopwright")
}

// The administrator of a machine may write everywhere, so a read-only file is
// tried by a helper process that runs as nobody.
func TestReadOnlyFileIsRefused(t *testing.T) {
	if path := os.Getenv("LOOPWRIGHT_TEST_READ_ONLY"); path != "" {
		_, err := Open(ctx, path)
		fmt.Printf("outcome: %v; %v\n", IsKind(err, ReadOnly) || IsKind(err, NoAccess), err)
		return
	}
	path := filled(t)
	require.NoError(t, os.Chmod(path, 0o444))
	require.NoError(t, os.Chmod(filepath.Dir(path), 0o555))
	t.Cleanup(func() { _ = os.Chmod(filepath.Dir(path), 0o700) })
	before := hash(t, path)
	binary, err := os.Executable()
	require.NoError(t, err)
	cmd := exec.CommandContext(t.Context(), binary, "-test.run", "^TestReadOnlyFileIsRefused$", "-test.v")
	cmd.Env = append(os.Environ(), "LOOPWRIGHT_TEST_READ_ONLY="+path)
	if os.Getuid() == 0 {
		opened := openToAll(t, binary, path)
		cmd.Path = opened
		cmd.SysProcAttr = &syscall.SysProcAttr{Credential: &syscall.Credential{Uid: 65534, Gid: 65534}}
		cmd.Dir = filepath.Dir(opened)
	}
	out, err := cmd.CombinedOutput()
	require.NoError(t, err, string(out))
	require.Contains(t, string(out), "outcome: true", string(out))
	require.Equal(t, before, hash(t, path))
}

// openToAll lets nobody reach the test's files, and gives a copy of the test
// binary that nobody may run.
func openToAll(t *testing.T, binary, path string) string {
	t.Helper()
	for dir := filepath.Dir(path); strings.HasPrefix(dir, os.TempDir()) && dir != os.TempDir(); dir = filepath.Dir(dir) {
		info, err := os.Stat(dir)
		require.NoError(t, err)
		require.NoError(t, os.Chmod(dir, info.Mode().Perm()|0o055))
	}
	b, err := os.ReadFile(binary)
	require.NoError(t, err)
	folder := t.TempDir()
	for dir := folder; dir != os.TempDir() && strings.HasPrefix(dir, os.TempDir()); dir = filepath.Dir(dir) {
		require.NoError(t, os.Chmod(dir, 0o755))
	}
	copied := filepath.Join(folder, "test-binary")
	require.NoError(t, os.WriteFile(copied, b, 0o755))
	return copied
}

// A full disk, played by SQLite's own page limit: the write fails with a plain
// sentence, and everything that was acknowledged is still there.
func TestFullDisk(t *testing.T) {
	path := filepath.Join(t.TempDir(), "test.db")
	s, err := Open(ctx, path)
	require.NoError(t, err)
	l := learner(t, s)
	_, err = s.writer.db.ExecContext(ctx, `PRAGMA max_page_count = 40`)
	require.NoError(t, err)
	saved := 0
	for i := range 200 {
		err = s.SavePosed(ctx, Posed{ID: fmt.Sprint("p", i), Learner: l.ID, Family: "f", Problem: []byte(`{"text":"` + strings.Repeat("x", 4000) + `"}`), PosedAt: noon})
		if err != nil {
			break
		}
		saved++
	}
	require.True(t, IsKind(err, DiskFull), "%v", err)
	require.ErrorContains(t, err, "full")
	require.Greater(t, saved, 5)
	for i := range saved {
		_, err := s.Posed(ctx, l.ID, fmt.Sprint("p", i))
		require.NoError(t, err)
	}
	require.NoError(t, s.IntegrityCheck(ctx))
	require.NoError(t, s.Close())
}

// An old database is brought up to date with its content.
func TestOldSchemaUpgrades(t *testing.T) {
	for version := 1; version <= newestVersion(); version++ {
		b, err := os.ReadFile(fmt.Sprintf("testdata/schema-v%d.db", version))
		require.NoError(t, err, "keep a small database of every released schema: see testdata/README.md")
		path := filepath.Join(t.TempDir(), "old.db")
		require.NoError(t, os.WriteFile(path, b, 0o600))
		s, err := Open(ctx, path)
		require.NoError(t, err)
		l := learner(t, s)
		require.Equal(t, "Sam", l.Name)
		recent, err := s.RecentAttempts(ctx, l.ID, 10)
		require.NoError(t, err)
		require.Len(t, recent, 1)
		require.NoError(t, s.IntegrityCheck(ctx))
		require.NoError(t, s.Close())
	}
}

func TestBackup(t *testing.T) {
	s := fresh(t)
	l := learner(t, s)
	pose(t, s, l.ID, "p")
	stop, stopped := make(chan struct{}), make(chan struct{})
	go func() { // the site goes on writing
		defer close(stopped)
		for i := 0; ; i++ {
			select {
			case <-stop:
				return
			default:
				_, _, _ = s.RecordAttempt(ctx, l.ID, attemptAt("p", fmt.Sprint(i)), counting)
			}
		}
	}()
	target := filepath.Join(t.TempDir(), "copy.db")
	require.NoError(t, Backup(ctx, s.Path(), target))
	close(stop)
	<-stopped
	c, err := Open(ctx, target)
	require.NoError(t, err)
	require.NoError(t, c.IntegrityCheck(ctx))
	require.Equal(t, l, learner(t, c))
	require.NoError(t, c.Close())

	before := hash(t, target)
	require.True(t, IsKind(Backup(ctx, s.Path(), target), Exists))
	require.Equal(t, before, hash(t, target))
	require.True(t, IsKind(Backup(ctx, filepath.Join(t.TempDir(), "none.db"), filepath.Join(t.TempDir(), "x.db")), NotFound))
	require.Error(t, Backup(ctx, s.Path(), filepath.Join(t.TempDir(), "no folder", "x.db")))
	left, err := filepath.Glob(filepath.Join(filepath.Dir(target), ".loopwright-*"))
	require.NoError(t, err)
	require.Empty(t, left)
}

func TestPathsWithOddCharacters(t *testing.T) {
	path := filepath.Join(t.TempDir(), "50% & #1 ?", "möwe.db")
	s, err := Open(ctx, path)
	require.NoError(t, err)
	require.NoError(t, s.Close())
	_, err = os.Stat(path)
	require.NoError(t, err)
	require.Contains(t, dsn("/a b", url.Values{}), "/a%20b?")
}
