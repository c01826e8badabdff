package serve

import (
	"errors"
	"io"
	"mime"
	"net/http"

	"github.com/gin-gonic/gin"

	"tamis/pkg/fault"
)

// maxJSON bounds a JSON body: an order has some hundred bytes.
const maxJSON = 1 << 20

// jsonBody reads a JSON body whole, at most maxJSON bytes of it.
func jsonBody(c *gin.Context) ([]byte, error) {
	media, _, err := mime.ParseMediaType(c.GetHeader("Content-Type"))
	if c.GetHeader("Content-Type") != "" && (err != nil || media != "application/json") {
		return nil, fault.Newf(fault.Unsupported, "", "content_type", "a body of type application/json is wanted, not %.60q",
			c.GetHeader("Content-Type"))
	}
	return readAll(c, maxJSON)
}

// readAll reads a body of at most most bytes. A longer one is refused at Content-Length, before anything is read, and
// again while reading. Compressed bodies are not taken: a small one could be a large one.
func readAll(c *gin.Context, most int64) ([]byte, error) {
	if encoding := c.GetHeader("Content-Encoding"); encoding != "" && encoding != "identity" {
		return nil, fault.Newf(fault.Unsupported, "", "content_encoding", "bodies are taken uncompressed, not as %.40q", encoding)
	}
	if c.Request.ContentLength > most {
		return nil, tooLarge(c.Request.ContentLength, most)
	}
	return readBounded(c.Request.Body, c.Request.ContentLength, most)
}

// readBounded reads r up to most bytes; known is its length where the caller says one, else below zero.
func readBounded(r io.Reader, known, most int64) ([]byte, error) {
	data := make([]byte, 0, max(512, min(known+1, most+1)))
	for {
		n, err := r.Read(data[len(data):cap(data)])
		data = data[:len(data)+n]
		switch {
		case int64(len(data)) > most:
			return nil, tooLarge(int64(len(data)), most)
		case errors.Is(err, io.EOF):
			return data, nil
		case err != nil:
			return nil, readFault(err)
		}
		if len(data) == cap(data) {
			data = append(data, 0)[:len(data)]
		}
	}
}

func tooLarge(got, most int64) error {
	return fault.Newf(fault.TooLarge, "", "too_many_bytes", "%d bytes or more; at most %d are taken", got, most)
}

func readFault(err error) error {
	var limit *http.MaxBytesError
	if errors.As(err, &limit) {
		return tooLarge(limit.Limit+1, limit.Limit)
	}
	return &fault.Error{Kind: fault.Malformed, Code: "body_cut_short", Msg: "the body ended before it was whole", Err: err}
}
