package serve

import (
	"errors"
	"io"
	"mime"
	"net/http"
	"os"
	"time"

	"github.com/gin-gonic/gin"

	"tamis/pkg/fault"
	"tamis/pkg/pages"
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
	return readBounded(c.Request.Body, pace(c), c.Request.ContentLength, most)
}

// A caller has slowStart to send the first bytes, then must keep slowestBytes a second on average: a body that trickles
// would hold a connection and its memory for ever.
const (
	slowStart    = 20 * time.Second
	slowestBytes = 8 << 10
)

// pace gives a function that, told how much of a body has come, allows the time for more; told a negative figure it lets
// the connection rest without a deadline, since answers and streams have their own.
func pace(c *gin.Context) func(read int) error {
	connection, began := http.NewResponseController(c.Writer), time.Now()
	return func(read int) error {
		if read < 0 {
			return connection.SetReadDeadline(time.Time{})
		}
		return connection.SetReadDeadline(began.Add(slowStart + time.Duration(read/slowestBytes)*time.Second))
	}
}

// readBounded reads r up to most bytes at the pace given. promised is the length the caller gives, -1 where none does.
// The buffer grows with what comes: a length that is only promised costs nothing.
func readBounded(r io.Reader, pace func(read int) error, promised, most int64) ([]byte, error) {
	data := make([]byte, 0, 64<<10)
	for {
		if err := pace(len(data)); err != nil {
			return nil, readFault(err)
		}
		n, err := r.Read(data[len(data):cap(data)])
		data = data[:len(data)+n]
		switch {
		case int64(len(data)) > most:
			return nil, tooLarge(int64(len(data)), most)
		case errors.Is(err, io.EOF):
			return data, pace(-1)
		case err != nil:
			return nil, readFault(err)
		}
		if len(data) == cap(data) {
			data = roomier(data, promised, most)
		}
	}
}

// roomier is data with twice the room, or less where that is more than was promised or may come; with a byte more, in
// which the end, or too much, shows.
func roomier(data []byte, promised, most int64) []byte {
	if promised < int64(len(data)) {
		promised = most // it was none, or is not kept
	}
	larger := pages.Make[byte](int(min(2*int64(len(data)), promised+1, most+1)))
	copy(larger, data)
	return larger[:len(data)]
}

func tooLarge(got, most int64) error {
	return fault.Newf(fault.TooLarge, "", "too_many_bytes", "%d bytes or more; at most %d are taken", got, most)
}

func readFault(err error) error {
	var limit *http.MaxBytesError
	if errors.As(err, &limit) {
		return tooLarge(limit.Limit+1, limit.Limit)
	}
	if errors.Is(err, os.ErrDeadlineExceeded) {
		return fault.Newf(fault.Malformed, "", "body_too_slow", "the body came slower than %d bytes a second", slowestBytes)
	}
	return &fault.Error{Kind: fault.Malformed, Code: "body_cut_short", Msg: "the body ended before it was whole", Err: err}
}
