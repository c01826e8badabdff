package separate

import (
	"context"
	"sync"

	"tamis/pkg/color"
	"tamis/pkg/cores"
	"tamis/pkg/ink"
	"tamis/pkg/pages"
)

// nodes is the number of table nodes along each of R, G and B: 49 puts them 5.3 codes apart. Ours: with 33 colours that
// come back are a third farther off (TestColoursOfRandomCoveragesComeBack), more cost time for little.
const nodes = 49

// table maps sRGB to coverages: at its nodes the print model's inverse, between them tetrahedral interpolation.
//
// The knots are even but for one an axis, moved onto the garment's own code: so the garment's colour is a node, its
// coverages are exactly zero, and every fade into the garment runs out at exactly nothing.
type table struct {
	inks  int
	knots [3][nodes]uint8
	cov   []float64 // [node][ink]
}

// Figures of the multigrid solution.
const (
	coarseStride = 8 // the first grid has every eighth node
	passRounds   = 1 // Gauss-Newton steps of a node in a pass
)

// How far neighbours may differ. The more inks beyond three, the more mixes give one colour and the more it takes to
// hold neighbours to the same one; with three there is one mix and nothing to hold.
//
// Ours; TestRampsHaveNoSteps and TestColoursOfRandomCoveragesComeBack hold both sides.
const (
	steepest    = 0.015 // coverage a code of the artwork: a change that shows no edge
	weightSteep = 400   // per squared coverage beyond it
	freeInks    = 5.0   // inks beyond three that make it full
	leastPull   = 0.1   // share of the roughness that three inks keep
)

// freedom is how many more mixes of n inks give one colour, 0 for one alone .. 1 for many.
func freedom(n int) float64 { return min(1, max(0, float64(n-3)/freeInks)) }

// schedule is the roughness, the weight of a coverage's distance from its neighbours' mean, of each smoothing pass on
// a grid. It falls: a pull first brings neighbours that found different solutions of like colour nearer, the weak one
// at the end lets the colour be met.
//
// Ours: TestRampsHaveNoSteps notices when it is too small, TestColoursOfRandomCoveragesComeBack when it is too large:
// ten times as much smeared every mix over its neighbours, four inks in a fade of white to black.
func schedule(stride int) []float64 {
	if stride == coarseStride {
		return []float64{300, 300, 200, 200, 150, 100, 100, 60}
	}
	return []float64{100, 60, 60, 60}
}

// buildTable solves every node, coarse grid first, each finer grid starting from the last.
func buildTable(stack *ink.Stack, cost []float64, base int, ground color.RGB8) *table {
	t := &table{inks: stack.Len(), knots: knotsFor(ground)}
	t.cov = pages.Make[float64](nodes * nodes * nodes * t.inks)
	g := &grid{
		table:  t,
		stack:  stack,
		cost:   cost,
		base:   base,
		ground: t.nodeAt(ground),
		aims:   t.aims(darkest(stack)),
		spare:  pages.Make[float64](len(t.cov)),
	}
	g.solveCoarse()
	for stride := coarseStride; ; stride /= 2 {
		g.before = nil
		for _, roughness := range schedule(stride) {
			g.smooth(stride, roughness)
			g.before = g.moved
		}
		if stride == 1 {
			return t
		}
		g.refine(stride)
	}
}

func knotsFor(ground color.RGB8) [3][nodes]uint8 {
	var k [3][nodes]uint8
	for axis, code := range [3]uint8{ground.R, ground.G, ground.B} {
		for i := range nodes {
			k[axis][i] = uint8((i*255 + (nodes-1)/2) / (nodes - 1))
		}
		k[axis][(int(code)*(nodes-1)+127)/255] = code
	}
	return k
}

// nodeAt is the node nearest to a colour; exactly there for the garment.
func (t *table) nodeAt(c color.RGB8) int {
	at := 0
	for _, code := range [3]uint8{c.R, c.G, c.B} {
		at = at*nodes + (int(code)*(nodes-1)+127)/255
	}
	return at
}

// aims are the colours of all nodes, none darker than darkestL.
func (t *table) aims(darkestL float64) []aim {
	var light [3][nodes]float64
	for axis := range light {
		for i, code := range t.knots[axis] {
			light[axis][i] = color.Decode(float64(code) / 255)
		}
	}
	list := pages.Make[aim](nodes * nodes * nodes)
	cores.Ranges(len(list), func(from, to int) {
		for i := from; i < to; i++ {
			l := color.Linear{R: light[0][i/(nodes*nodes)], G: light[1][i/nodes%nodes], B: light[2][i%nodes]}
			list[i] = newAim(l.XYZ().Lab(), darkestL)
		}
	})
	return list
}

// node is the coverages of the i-th node.
func (t *table) node(i int) []float64 { return t.cov[i*t.inks : (i+1)*t.inks] }

// grid is a table under construction.
type grid struct {
	table  *table
	stack  *ink.Stack
	cost   []float64
	base   int
	ground int
	aims   []aim
	spare  []float64 // the coverages before the pass
	moved  []bool    // which nodes this pass moves
	before []bool    // and the last one at this stride moved, nil: all are to be looked at
}

// each calls work for the nodes of a stride, in parallel; work writes its own node only.
func (g *grid) each(stride int, work func(s *solver, at [3]int, i int)) {
	n := (nodes-1)/stride + 1
	begin := func() *solver { return newSolver(g.stack, g.cost, g.base) }
	cores.EachWith(n*n*n, begin, func(s *solver, k int) {
		at := [3]int{k / (n * n) * stride, k / n % n * stride, k % n * stride}
		if i := (at[0]*nodes+at[1])*nodes + at[2]; i != g.ground {
			work(s, at, i)
		}
	})
}

func (g *grid) solveCoarse() {
	g.each(coarseStride, func(s *solver, _ [3]int, i int) { s.solve(&g.aims[i], g.table.node(i), true) })
}

// smooth improves nodes with their neighbours as a soft goal: those that the last pass left moving, and those beside
// them. All read the last pass and write the next, so the result does not depend on the order.
func (g *grid) smooth(stride int, roughness float64) {
	g.moved = make([]bool, nodes*nodes*nodes)
	old := table{inks: g.table.inks, cov: g.spare}
	g.each(stride, func(_ *solver, _ [3]int, i int) { copy(old.node(i), g.table.node(i)) })
	most := steepest * 255 / (nodes - 1) * float64(stride)
	free := freedom(g.table.inks)
	g.each(stride, func(s *solver, at [3]int, i int) {
		if !g.stirred(at, i, stride) {
			return
		}
		s.pull.gather(&old, at, stride, most)
		s.pull.rough, s.pull.steep = roughness*max(leastPull, free), weightSteep*free
		s.minimise(&g.aims[i], g.table.node(i), &s.pull, passRounds)
		g.moved[i] = moveOf(g.table.node(i), old.node(i)) > still
	})
}

// still is how far a coverage must move for the node and its neighbours to be looked at in the next pass. Ours: less
// than the step of a byte, and ramps and colours come out the same as with a third of it.
const still = 0.003

// moveOf is the largest difference of two nodes' coverages.
func moveOf(a, b []float64) (most float64) {
	for k := range a {
		most = max(most, a[k]-b[k], b[k]-a[k])
	}
	return most
}

// stirred tells whether the last pass moved a node or one of its neighbours.
func (g *grid) stirred(at [3]int, i, stride int) bool {
	if g.before == nil || g.before[i] {
		return true
	}
	step := stride * nodes * nodes
	for axis := range 3 {
		if at[axis] >= stride && g.before[i-step] || at[axis]+stride < nodes && g.before[i+step] {
			return true
		}
		step /= nodes
	}
	return false
}

// refine fills the nodes halfway between those of a stride with the mean of their ends.
func (g *grid) refine(stride int) {
	half := stride / 2
	g.each(half, func(_ *solver, at [3]int, i int) {
		var low, high [3]int
		between := false
		for k, v := range at {
			low[k], high[k] = v, v
			if v%stride != 0 {
				low[k], high[k], between = v-half, v+half, true
			}
		}
		if !between {
			return
		}
		a := g.table.node((low[0]*nodes+low[1])*nodes + low[2])
		b := g.table.node((high[0]*nodes+high[1])*nodes + high[2])
		for k := range a {
			g.table.node(i)[k] = (a[k] + b[k]) / 2
		}
	})
}

// tones applies the table to decoded pixels.
type tones struct {
	lookup *lookup
	ground color.RGB8
	choke  *choke // nil: no underbase to hold back
}

// step is how many rows are worked between questions to ctx.
const step = 64

// rowsInParallel works bands of rows on all cores, asking ctx once a band, and reports progress in order of finishing.
func rowsInParallel(
	ctx context.Context,
	rows int,
	progress func(done, total int),
	work func(y0, y1 int),
) error {
	var mu sync.Mutex // guards done and the calls of progress
	done := 0
	cores.Each((rows+step-1)/step, func(band int) {
		if ctx.Err() != nil {
			return
		}
		y := band * step
		y1 := min(y+step, rows)
		work(y, y1)
		mu.Lock()
		defer mu.Unlock()
		done += y1 - y
		progress(done, rows)
	})
	if err := ctx.Err(); err != nil {
		return canceled(err)
	}
	return nil
}
