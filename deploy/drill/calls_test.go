package drill_test

import (
	"crypto/sha256"
	"encoding/hex"
	"encoding/json"
	"fmt"
	"time"

	"tamis/pkg/plan"
	"tamis/pkg/shop"
	"tamis/testdata"
)

// job is what a storefront reads of a job.
type job struct {
	ID, State string
	Order     orderOf
	Attempts  int
	Progress  struct {
		Done, Total int
		Stage       string
	}
	Result struct {
		Plan struct {
			Screens int
			Method  string
			Print   plan.Size
			Film    plan.FilmPage
		}
		Films []filmEntry
	}
	Problem json.RawMessage
}

// orderOf is the part of an order that decides where its print lies.
type orderOf struct {
	Film struct{ Device deviceOf }
}

// deviceOf is a film device by id, or inline.
type deviceOf struct {
	ID     string
	Inline *shop.Device
}

func (d *deviceOf) UnmarshalJSON(data []byte) error {
	if json.Unmarshal(data, &d.ID) == nil {
		return nil
	}
	return json.Unmarshal(data, &d.Inline)
}

type filmEntry struct {
	Plate    int
	Format   string
	File     string
	SHA256   string
	WidthPX  int     `json:"width_px"`
	HeightPX int     `json:"height_px"`
	XDPI     float64 `json:"x_dpi"`
	YDPI     float64 `json:"y_dpi"`
	PrintBox [4]int  `json:"print_box_px"`
}

func (c *caller) json(method, path string, body []byte, status int, into any) {
	c.t.Helper()
	got, data := c.do(method, path, body)
	if got != status {
		c.t.Fatalf("%s %s: %d, want %d: %.500s", method, path, got, status, data)
	}
	if err := json.Unmarshal(data, into); err != nil {
		c.t.Fatalf("%s %s: %v", method, path, err)
	}
}

// upload sends a picture; the answer is 201 or, for one known already, 200.
func (c *caller) upload(data []byte) string {
	c.t.Helper()
	var art struct{ ID string }
	status, body := c.do("POST", "/v1/artworks", data)
	if status != 201 && status != 200 || json.Unmarshal(body, &art) != nil {
		c.t.Fatalf("upload: %d %.500s", status, body)
	}
	return art.ID
}

func (c *caller) demo(name string) string {
	c.t.Helper()
	data, err := testdata.Art.ReadFile("art/" + name)
	if err != nil {
		c.t.Fatal(err)
	}
	return c.upload(data)
}

// order sends an order; rest is JSON after the artwork's id.
func (c *caller) order(artwork, rest string) job {
	c.t.Helper()
	var j job
	c.json("POST", "/v1/jobs", fmt.Appendf(nil, `{"artwork_id":%q,%s}`, artwork, rest), 202, &j)
	return j
}

// seriousOrder takes some seconds: six films of a real print's size at an imagesetter's resolution.
func seriousOrder(ref string) string {
	return fmt.Sprintf(`"print":{"width_mm":300},"film":{"device":"imagesetter-2540"},"garment":{"color":"#17181a","unit_cost":"3"},"quantity":50,
		"separation":{"max_screens":6},"order_ref":%q`, ref)
}

func (c *caller) job(id string) job {
	c.t.Helper()
	var j job
	c.json("GET", "/v1/jobs/"+id, nil, 200, &j)
	return j
}

func (j job) ended() bool { return j.State != "queued" && j.State != "running" }

// finished waits for a job's end and wants it done.
func (c *caller) finished(id string) job {
	c.t.Helper()
	var j job
	for end := time.Now().Add(4 * time.Minute); time.Now().Before(end); time.Sleep(50 * time.Millisecond) {
		if j = c.job(id); j.ended() {
			break
		}
	}
	if j.State != "done" {
		c.t.Fatalf("job %s is %s after %d attempts, at %+v: %s", id, j.State, j.Attempts, j.Progress, j.Problem)
	}
	return j
}

// underWay waits until a job is past its first steps and before its last.
func (c *caller) underWay(id string) {
	c.t.Helper()
	until(c.t, "job under way", func() bool {
		j := c.job(id)
		if j.ended() {
			c.t.Fatalf("job %s is %s before it could be disturbed", id, j.State)
		}
		return j.State == "running" && j.Progress.Done >= 2
	})
}

// files downloads every file of a job, checks its hash, and gives the hashes by name and the bytes by name.
func (c *caller) files(id string) (hashes map[string]string, contents map[string][]byte) {
	c.t.Helper()
	var list struct {
		Files []struct{ Name, Href, SHA256 string }
	}
	c.json("GET", "/v1/jobs/"+id+"/files", nil, 200, &list)
	hashes, contents = map[string]string{}, map[string][]byte{}
	for _, f := range list.Files {
		status, data := c.do("GET", f.Href, nil)
		sum := sha256.Sum256(data)
		if status != 200 || hex.EncodeToString(sum[:]) != f.SHA256 {
			c.t.Fatalf("%s of %s: %d, %d bytes, not the bytes listed", f.Name, id, status, len(data))
		}
		hashes[f.Name], contents[f.Name] = f.SHA256, data
	}
	return hashes, contents
}

// ends counts how often a job ended, by its event stream.
func (c *caller) ends(id string) int {
	c.t.Helper()
	status, data := c.do("GET", "/v1/jobs/"+id+"/events", nil)
	if status != 200 {
		c.t.Fatalf("events of %s: %d", id, status)
	}
	return countLines(data, "event: done") + countLines(data, "event: failed") + countLines(data, "event: canceled")
}
