package serve

import (
	"context"
	"fmt"
	"io"
	"mime"
	"net/http"
	"net/url"
	"strconv"
	"strings"
	"time"

	"github.com/gin-gonic/gin"

	"tamis/pkg/fault"
	"tamis/pkg/library"
	"tamis/pkg/produce"
)

// FileList is the files of a finished job.
type FileList struct {
	Files []FileEntry `json:"files"`
}

// FileEntry is one file with its hash and where to get it.
type FileEntry struct {
	produce.File
	Href string `json:"href" example:"/v1/jobs/job_…/files/01-white-underbase.tif"`
}

// Presigned is a short-lived address that gives a file to whoever holds it.
type Presigned struct {
	URL       string `json:"url"`
	ExpiresAt string `json:"expires_at"`
}

// presignFor is how long a presigned address lives: long enough for a slow line, short enough to leak little.
const presignFor = 15 * time.Minute

// listFiles lists a job's files.
//
//	@Summary	A job's files with their hashes
//	@Tags		files
//	@Produce	json
//	@Param		id	path		string	true	"job id"
//	@Success	200	{object}	FileList
//	@Failure	404,409,503	{object}	Problem
//	@Router		/v1/jobs/{id}/files [get]
func (a *api) listFiles(c *gin.Context) {
	files, err := a.filesOf(c.Request.Context(), shopOf(c), c.Param("id"))
	if err != nil {
		fail(c, err)
		return
	}
	list := FileList{Files: make([]FileEntry, len(files))}
	for i, f := range files {
		list.Files[i] = FileEntry{f, "/v1/jobs/" + c.Param("id") + "/files/" + url.PathEscape(f.Name)}
	}
	conditional(c, list)
}

// getFile gives a file's bytes, or sends the caller to the store for them.
//
//	@Summary		A file
//	@Description	The bytes, with Range; or 307 to a presigned address where the store is a bucket. redirect=false answers {url, expires_at} instead of redirecting (some clients forward their credentials on a redirect).
//	@Tags			files
//	@Produce		json,octet-stream
//	@Param			id			path	string	true	"job id"
//	@Param			name		path	string	true	"file name"
//	@Param			redirect	query	bool	false	"false: give the presigned address as JSON"
//	@Success		200			{object}	Presigned
//	@Success		206			{file}	binary
//	@Success		307			"Location is a presigned address"
//	@Failure		400,404,409,416,503	{object}	Problem
//	@Router			/v1/jobs/{id}/files/{name} [get]
func (a *api) getFile(c *gin.Context) {
	redirect, err := wantsRedirect(c)
	if err != nil {
		fail(c, err)
		return
	}
	f, err := a.fileOf(c.Request.Context(), shopOf(c), c.Param("id"), c.Param("name"))
	if err != nil {
		fail(c, err)
		return
	}
	key := library.FileKey(shopOf(c), f)
	address, ok, err := a.Library.Store().PresignGet(c.Request.Context(), key, f.Name, f.MediaType, presignFor)
	if err != nil {
		fail(c, err)
		return
	}
	switch {
	case ok && redirect:
		c.Redirect(http.StatusTemporaryRedirect, address)
	case ok:
		c.JSON(http.StatusOK, Presigned{address, stamp(a.Now().Add(presignFor))})
	case !redirect:
		here := "/v1/jobs/" + c.Param("id") + "/files/" + url.PathEscape(f.Name)
		c.JSON(http.StatusOK, Presigned{here, stamp(a.Now().Add(presignFor))})
	default:
		a.stream(c, f, key)
	}
}

func wantsRedirect(c *gin.Context) (bool, error) {
	text := c.DefaultQuery("redirect", "true")
	want, err := strconv.ParseBool(text)
	if err != nil {
		return false, fault.Newf(fault.Malformed, "", "query", "redirect is %.40q; true or false is wanted", text)
	}
	return want, nil
}

// stream gives a file from a store that makes no presigned addresses, whole or one range of it.
func (a *api) stream(c *gin.Context, f produce.File, key string) {
	if held(c, f.SHA256) {
		return
	}
	off, n, err := rangeOf(c, f)
	if err != nil {
		c.Header("Content-Range", fmt.Sprintf("bytes */%d", f.Bytes))
		write(c, http.StatusRequestedRangeNotSatisfiable,
			problemOf(http.StatusRequestedRangeNotSatisfiable, fault.All(err)))
		return
	}
	body, err := a.open(c.Request.Context(), f, key, off, n)
	if err != nil {
		c.Writer.Header().Del("ETag")
		fail(c, err)
		return
	}
	defer body.Close()
	fileHeaders(c, f, off, n)
	if c.Request.Method == http.MethodHead {
		c.Writer.WriteHeaderNow()
		return
	}
	if _, err := io.CopyN(c.Writer, body, n); err != nil {
		_ = c.Error(fmt.Errorf("file %s cut short: %w", f.SHA256, err)) // headers are out: the length tells the caller
	}
}

// fileHeaders says what follows: the whole file, or n bytes of it from off on.
func fileHeaders(c *gin.Context, f produce.File, off, n int64) {
	c.Header("Accept-Ranges", "bytes")
	c.Header("Content-Disposition", mime.FormatMediaType("attachment", map[string]string{"filename": f.Name}))
	c.Header("Cache-Control", "private, immutable, max-age=31536000")
	c.Header("Content-Type", f.MediaType)
	c.Header("Content-Length", strconv.FormatInt(n, 10))
	c.Status(http.StatusOK)
	if n < f.Bytes {
		c.Header("Content-Range", fmt.Sprintf("bytes %d-%d/%d", off, off+n-1, f.Bytes))
		c.Status(http.StatusPartialContent)
	}
}

// open opens a file, whole or from off on. One that is gone is our trouble, not the caller's: the job can be sent again.
func (a *api) open(ctx context.Context, f produce.File, key string, off, n int64) (body io.ReadCloser, err error) {
	if n < f.Bytes {
		body, _, err = a.Library.Store().GetRange(ctx, key, off, n)
	} else {
		body, _, err = a.Library.Store().Get(ctx, key)
	}
	if fault.Is(err, fault.NotFound) {
		err = fault.Wrap(err, fault.Unavailable, "file_lost", "the file is gone from the store; the same order sent again makes it anew")
	}
	return body, err
}

// rangeOf reads a Range header of one range, as off and a length. None, several, or a form that is no range give the
// whole file, as RFC 9110 section 14.2 allows; a range outside the file is a fault.
func rangeOf(c *gin.Context, f produce.File) (off, n int64, err error) {
	whole := func() (int64, int64, error) { return 0, f.Bytes, nil }
	unit, span, ok := strings.Cut(c.GetHeader("Range"), "=")
	first, last, dash := strings.Cut(strings.TrimSpace(span), "-")
	if tag := c.GetHeader("If-Range"); !ok || !dash || !strings.EqualFold(unit, "bytes") || tag != "" && tag != `"`+f.SHA256+`"` {
		return whole()
	}
	from, badFrom := strconv.ParseUint(first, 10, 62)
	to, badTo := strconv.ParseUint(last, 10, 62)
	switch {
	case first == "" && badTo == nil:
		from, to = uint64(max(0, f.Bytes-int64(to))), uint64(f.Bytes)
	case badFrom == nil && last == "":
		to = uint64(f.Bytes)
	case badFrom != nil || badTo != nil || from > to:
		return whole()
	}
	if int64(from) >= f.Bytes {
		return 0, 0, fault.Newf(fault.Invalid, "", "range", "%.60q lies outside the file's %d bytes", c.GetHeader("Range"), f.Bytes)
	}
	return int64(from), min(int64(to)+1, f.Bytes) - int64(from), nil
}

// filesOf gives the files of a finished job, the manifest among them.
func (a *api) filesOf(ctx context.Context, shop library.ShopID, id string) ([]produce.File, error) {
	doc, err := a.job(ctx, shop, id)
	if err != nil {
		return nil, err
	}
	if doc.Result == nil {
		return nil, fault.Newf(fault.Conflict, "", "job_not_done", "the job is %s: it has no files", doc.State)
	}
	return doc.Result.Files, nil
}

func (a *api) fileOf(ctx context.Context, shop library.ShopID, id, name string) (produce.File, error) {
	files, err := a.filesOf(ctx, shop, id)
	if err != nil {
		return produce.File{}, err
	}
	for _, f := range files {
		if f.Name == name {
			return f, nil
		}
	}
	return produce.File{}, fault.Newf(fault.NotFound, "", "file_not_found", "the job has no file %.80q", name)
}
