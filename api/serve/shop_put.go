package serve

import (
	"context"
	"encoding/json"
	"net/http"
	"strings"

	"github.com/gin-gonic/gin"

	"tamis/pkg/fault"
	"tamis/pkg/library"
	"tamis/pkg/order"
	"tamis/pkg/shop"
)

// replacement is how one document of a shop is put: which it is, where it stands in a snapshot, and what must hold with
// it in place. The whole snapshot is at hand, since documents refer to one another.
type replacement[T any] struct {
	doc   library.ShopDoc
	in    func(*shop.Snapshot) *T
	check func(context.Context, *api, library.ShopID, shop.Snapshot) error
}

// put replaces a document: If-Match must name the version the caller read, the body is read strictly and whole, every
// value is checked, then it is stored if nobody was faster. Anything that fails changes nothing.
func put[T any](a *api, c *gin.Context, r replacement[T]) {
	if c.GetHeader("If-Match") == "" {
		fail(c, fault.Newf(fault.Unconditional, "", "if_match_missing",
			"If-Match is wanted, with the ETag that GET gave with the document this one replaces"))
		return
	}
	body, err := jsonBody(c)
	if err != nil {
		fail(c, err)
		return
	}
	made, err := r.replaced(a, c, body)
	if err != nil {
		fail(c, err)
		return
	}
	c.Header("ETag", etagOf(tagOf(made)))
	c.Header("Cache-Control", "private, no-cache")
	c.Data(http.StatusOK, "application/json; charset=utf-8", made)
}

// replaced does the work of put and gives the document's bytes as GET will give them.
func (r replacement[T]) replaced(a *api, c *gin.Context, body []byte) ([]byte, error) {
	var given T
	if err := order.DecodeStrict(body, &given); err != nil {
		return nil, err
	}
	ctx, owner := c.Request.Context(), shopOf(c)
	s, version, err := a.Library.SnapshotFor(ctx, owner, r.doc)
	if err != nil {
		return nil, err
	}
	old, err := json.Marshal(r.in(&s))
	if err != nil {
		return nil, err
	}
	if !matches(c.GetHeader("If-Match"), etagOf(tagOf(old))) {
		return nil, stale()
	}
	*r.in(&s) = given
	faults := fault.List{}
	faults.Add(shop.Whole(body, &given))
	faults.Add(r.check(ctx, a, owner, s))
	if err := onePerField(faults).Err(); err != nil {
		return nil, err
	}
	err = a.Library.ReplaceDoc(ctx, owner, r.doc, given, version)
	if fault.Is(err, fault.Precondition) {
		return nil, stale()
	}
	if err != nil {
		return nil, err
	}
	return json.Marshal(given)
}

// onePerField keeps the first fault of each field: what is left out need not be told too that zero cannot be.
func onePerField(all fault.List) fault.List {
	var kept fault.List
	seen := map[string]bool{}
	for _, f := range all {
		if f.Field == "" || !seen[f.Field] {
			kept = append(kept, f)
		}
		seen[f.Field] = true
	}
	return kept
}

func stale() error {
	return fault.Newf(fault.Precondition, "", "stale",
		"the document is not the one If-Match names: another call changed it; read it again and put the change into that")
}

// matches tells whether an If-Match names this tag, or any. Weak tags never match. Source: RFC 9110, 13.1.1.
func matches(ifMatch, etag string) bool {
	for _, given := range strings.Split(ifMatch, ",") {
		if given = strings.TrimSpace(given); given == etag || given == "*" {
			return true
		}
	}
	return false
}
