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
	c.Header("Cache-Control", "private, no-cache")
	if held(c, tagOf(data)) {
		return
	}
	c.Data(http.StatusOK, "application/json; charset=utf-8", data)
}

// tagOf names a document's bytes: half their SHA-256.
func tagOf(data []byte) string {
	sum := sha256.Sum256(data)
	return hex.EncodeToString(sum[:16])
}

// etagOf is a tag as headers write a strong one.
func etagOf(tag string) string { return `"` + tag + `"` }

// held sets the ETag and answers 304 when If-None-Match names it.
func held(c *gin.Context, tag string) bool {
	etag := etagOf(tag)
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

// kept answers a call that stores what follows from its content alone: 201, or 200 where the same stood already.
func kept(c *gin.Context, location string, created bool, doc any) {
	status := http.StatusOK
	if created {
		status = http.StatusCreated
	}
	c.Header("Location", location)
	c.JSON(status, doc)
}
