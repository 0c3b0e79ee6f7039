package db

import (
	"os/exec"
	"path/filepath"
	"testing"

	"github.com/stretchr/testify/require"
)

// A build without a C compiler says so in a plain sentence, and leaves the
// file alone.
func TestWithoutACompiler(t *testing.T) {
	if testing.Short() {
		t.Skip("builds the program again")
	}
	file := filepath.Join(t.TempDir(), "test.db")
	cmd := exec.CommandContext(t.Context(), "go", "run", "../cmd/loopwright", "serve", "--db", file)
	cmd.Env = append(cmd.Environ(), "CGO_ENABLED=0", "GOFLAGS=")
	out, err := cmd.CombinedOutput()
	require.Error(t, err)
	require.Contains(t, string(out), "built without a C compiler")
	require.NoFileExists(t, file)
}
