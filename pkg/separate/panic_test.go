package separate

import (
	"strings"
	"testing"

	"tamis/pkg/cores"
	"tamis/pkg/ink"
)

func TestAPanicInATablesGoroutineIsRaisedWhereTheTableIsBuilt(t *testing.T) {
	ly := layersNamed(t, false, "red", "lemon", "royal")
	ground := hex(t, "#ffffff").Lab()
	short := &table{inks: 3, knots: knotsFor(ground.RGB8()), cov: make([]float64, 3*nodes)} // room for a row of nodes
	g := &grid{table: short, stack: ink.NewStack(ly.inks, ink.DefaultCards(), ground), cost: ly.cost, base: ly.base}
	g.aims = short.aims(darkest(g.stack))
	met := func() (met *cores.Panic) {
		defer func() { met = cores.PanicOf(recover()) }()
		g.solveCoarse()
		return nil
	}()
	if met == nil || !strings.Contains(string(met.Stack), "(*grid).each.func") {
		t.Fatalf("%+v", met)
	}
}
