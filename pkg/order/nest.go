package order

import (
	"fmt"
	"slices"

	"tamis/pkg/fault"
)

// Nest is the body of a nest: whose films are laid together, on what, and how. After Complete every default is filled.
type Nest struct {
	Jobs     []string  `json:"jobs"`
	Device   DeviceRef `json:"device"`
	GapMM    *float64  `json:"gap_mm"`
	CutMarks *bool     `json:"cut_marks"`
	Rotate   *bool     `json:"rotate"`
	Formats  []string  `json:"formats"`
	OrderRef string    `json:"order_ref"`
	Lane     string    `json:"lane"`
}

// The bounds of a nest. Ours: films may touch where a machine cuts; a gap of over 50 mm is film wasted.
const (
	maxNestJobs                      = 100
	minGapMM, defaultGapMM, maxGapMM = 0, 5, 50
)

// ParseNest reads one JSON nest as Parse reads an order.
func ParseNest(data []byte) (Nest, error) {
	var n Nest
	return n, DecodeStrict(data, &n)
}

// Complete fills every default and names every value that cannot be.
func (n Nest) Complete() (Nest, error) {
	def(&n.Lane, "normal")
	if n.GapMM == nil {
		n.GapMM = ptr(float64(defaultGapMM))
	}
	yes := true
	if n.CutMarks == nil {
		n.CutMarks = &yes
	}
	if n.Rotate == nil {
		n.Rotate = &yes
	}
	if len(n.Formats) == 0 {
		n.Formats = []string{"tiff"}
	}
	c := &fault.Checker{}
	if len(n.Jobs) == 0 || len(n.Jobs) > maxNestJobs {
		c.Addf("/jobs", "nest_jobs", "%d jobs; 1 to %d can be nested", len(n.Jobs), maxNestJobs)
	}
	for i, id := range n.Jobs {
		if slices.Contains(n.Jobs[:i], id) {
			c.Addf(fmt.Sprintf("/jobs/%d", i), "twice", "%.60q stands twice", id)
		}
	}
	for i, f := range n.Formats {
		c.OneOf("/formats", f, "tiff", "pdf")
		if slices.Contains(n.Formats[:i], f) {
			c.Addf("/formats", "twice", "%q stands twice", f)
		}
	}
	c.Between("/gap_mm", *n.GapMM, minGapMM, maxGapMM, " mm")
	c.OneOf("/lane", n.Lane, Lanes...)
	c.Text("/order_ref", n.OrderRef, maxRefRunes)
	if d := n.Device.Inline; d != nil {
		c.Add(d.CheckAt("/device"))
	}
	return n, c.Err()
}

// Canonical is the nest's one form as bytes; Complete comes first.
func (n Nest) Canonical() []byte { return canonical(n) }
