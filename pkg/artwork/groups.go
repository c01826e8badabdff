package artwork

import "sort"

// Boxes gathers the cells that in tells into boxes, in pixels of a picture of that size: cells that touch, corners too,
// make one. At most `most` come back, those of most cells first, then top down.
func (o *Overview) Boxes(width, height, most int, in func(cell int) bool) []Box {
	type group struct {
		box   Box
		cells int
	}
	seen := make([]bool, o.Cells())
	var groups []group
	for first := range seen {
		if seen[first] || !in(first) {
			continue
		}
		g := group{}
		seen[first] = true
		for open := []int{first}; len(open) > 0; {
			cell := open[len(open)-1]
			open = open[:len(open)-1]
			g.box, g.cells = g.box.union(o.Box(cell, width, height)), g.cells+1
			o.around(cell, func(next int) {
				if !seen[next] && in(next) {
					seen[next] = true
					open = append(open, next)
				}
			})
		}
		groups = append(groups, g)
	}
	sort.SliceStable(groups, func(i, j int) bool { return groups[i].cells > groups[j].cells })
	var boxes []Box
	for _, g := range groups[:min(most, len(groups))] {
		boxes = append(boxes, g.box)
	}
	return boxes
}

// around calls f for the up to eight cells about one.
func (o *Overview) around(cell int, f func(next int)) {
	x, y := cell%o.Columns, cell/o.Columns
	for v := max(0, y-1); v <= min(o.Rows-1, y+1); v++ {
		for u := max(0, x-1); u <= min(o.Columns-1, x+1); u++ {
			if u != x || v != y {
				f(v*o.Columns + u)
			}
		}
	}
}
