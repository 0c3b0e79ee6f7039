package web

import (
	"bytes"
	"crypto/sha256"
	"embed"
	"encoding/hex"
	"fmt"
	"io/fs"
	"mime"
	"net/http"
	"path"
	"strings"

	"github.com/gin-gonic/gin"
)

//go:embed static/* templates/*.html
var files embed.FS

// asset is a static file under a name that changes with its content, so that
// browsers may keep it for ever.
type asset struct {
	url, mediaType string
	content        []byte
}

// assets finds assets by their plain name, and by their hashed one.
type assets struct{ byName, byHashed map[string]*asset }

// loadAssets reads static/. All style sheets become one file: they are small,
// and a page needs most of them. Modules import each other by plain name, so
// those imports are rewritten to the hashed ones.
func loadAssets() *assets {
	a := &assets{map[string]*asset{}, map[string]*asset{}}
	var style bytes.Buffer
	for _, name := range []string{"site.css", "form.css", "problem.css", "figure.css", "print.css"} {
		style.Write(mustRead("static/" + name))
	}
	a.add("style.css", style.Bytes())
	entries, err := fs.ReadDir(files, "static")
	if err != nil {
		panic(err)
	}
	for _, e := range entries {
		if !strings.HasSuffix(e.Name(), ".css") {
			a.add(e.Name(), mustRead("static/"+e.Name()))
		}
	}
	return a
}

func mustRead(name string) []byte {
	b, err := files.ReadFile(name)
	if err != nil {
		panic(err) // embedded
	}
	return b
}

func (a *assets) add(name string, content []byte) {
	sum := sha256.Sum256(content)
	ext := path.Ext(name)
	hashed := fmt.Sprintf("%s.%s%s", strings.TrimSuffix(name, ext), hex.EncodeToString(sum[:6]), ext)
	f := &asset{"/static/" + hashed, mime.TypeByExtension(ext), content}
	a.byName[name], a.byHashed[hashed] = f, f
}

// url is where a static file is served; an unknown name is a programmer's
// error.
func (a *assets) url(name string) string {
	f, ok := a.byName[name]
	if !ok {
		panic("web: no static file " + name)
	}
	return f.url
}

func (a *assets) serve(c *gin.Context) {
	f, ok := a.byHashed[c.Param("name")]
	if !ok {
		c.Status(http.StatusNotFound)
		return
	}
	c.Header("Cache-Control", "public, max-age=31536000, immutable")
	c.Data(http.StatusOK, f.mediaType, f.content)
}
