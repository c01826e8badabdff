package serve

import (
	"crypto/sha256"
	"encoding/hex"
	"encoding/json"
	"net/http"
	"strings"

	"github.com/gin-gonic/gin"
)

// conditional writes a document with a strong ETag, or 304 when the caller holds it already.
func conditional(c *gin.Context, doc any) {
	data, err := json.Marshal(doc)
	if err != nil {
		fail(c, err)
		return
	}
	sum := sha256.Sum256(data)
	c.Header("Cache-Control", "private, no-cache")
	if held(c, hex.EncodeToString(sum[:16])) {
		return
	}
	c.Data(http.StatusOK, "application/json; charset=utf-8", data)
}

// held sets the ETag and answers 304 when If-None-Match names it.
func held(c *gin.Context, tag string) bool {
	etag := `"` + tag + `"`
	c.Header("ETag", etag)
	for _, given := range strings.Split(c.GetHeader("If-None-Match"), ",") {
		given = strings.TrimPrefix(strings.TrimSpace(given), "W/")
		if given == etag || given == "*" {
			c.Status(http.StatusNotModified)
			c.Writer.WriteHeaderNow()
			return true
		}
	}
	return false
}
