package plan_test

import (
	"encoding/json"
	"fmt"
	"math/rand/v2"
	"runtime"
	"slices"
	"strings"
	"sync"
	"testing"

	"github.com/shopspring/decimal"

	"tamis/pkg/artwork"
	"tamis/pkg/fault"
	"tamis/pkg/order"
	"tamis/pkg/plan"
	"tamis/pkg/separate"
	"tamis/pkg/shop"
	"tamis/testdata"
)

// randomOrders is how many orders are drawn; randomSeed draws the same ones every time.
const (
	randomOrders = 10_000
	randomSeed   = 2026
)

// prints are what takes long to decide, and so is varied little: the artwork, its size, and how it is separated.
// What is left of an order is drawn anew for each.
var prints = []struct{ art, rest string }{
	{"bee-stencil.png", `"print":{"width_mm":90},"separation":{"method":"spot","inks":["white"]},"garment":{"color":"#17181a"`},
	{"bee-stencil.png", `"print":{"height_mm":220},"separation":{"method":"auto"},"garment":{"color":"#ffffff"`},
	{"bee-stencil.png", `"print":{"width_mm":9},"separation":{"method":"spot"},"garment":{"color":"#8e1f2a"`},
	{"bee-stencil.png", `"print":{"width_mm":110},"separation":{"method":"spot","trap_mm":0},"garment":{"color":"#20304a"`},
	{"bee-stencil.png", `"print":{"width_mm":330,"height_mm":250},"separation":{"method":"spot","choke_mm":0},"garment":{"color":"#f4e7c5"`},
	{"bee-stencil.png", `"print":{"width_mm":60},"separation":{"method":"spot","free_inks":true},"garment":{"color":"#8a8d8f"`},
	{"orchard-fair.png", `"print":{"width_mm":280},"separation":{"method":"spot"},"garment":{"color":"#17181a"`},
	{"orchard-fair.png", `"print":{"width_mm":120},"separation":{"method":"auto","max_screens":7},"garment":{"color":"#8a8d8f"`},
	{"orchard-fair.png", `"print":{"width_mm":300},"separation":{"method":"spot","underbase":"off"},"garment":{"color":"#ffffff"`},
	{"orchard-fair.png", `"print":{"width_mm":480},"separation":{"method":"process","trap_mm":0.2},"garment":{"color":"#ffffff"`},
	{"lantern-night.png", `"print":{"width_mm":280},"separation":{"method":"simulated_process","max_screens":6,"trap_mm":0.2,
		"inks":["white","golden-yellow","magenta","royal-blue","turquoise"]},"garment":{"color":"#17181a"`},
	{"lantern-night.png", `"print":{"width_mm":200},"separation":{"method":"simulated_process","max_screens":4,"trap_mm":0.2,
		"inks":["white","black","scarlet","lemon-yellow","royal-blue"]},"garment":{"color":"#8a8d8f"`},
	{"lantern-night.png", `"print":{"width_mm":300},"separation":{"method":"process","trap_mm":0.2},"garment":{"color":"#20304a"`},
	{"lantern-night.png", `"print":{"width_mm":300},"separation":{"method":"process","underbase":"off","max_screens":4,"trap_mm":0.2},"garment":{"color":"#ffffff"`},
	{"lantern-night.png", `"print":{"width_mm":250},"separation":{"method":"index","max_screens":5,"trap_mm":0.2,
		"inks":["white","scarlet","golden-yellow","royal-blue"]},"garment":{"color":"#17181a"`},
	{"lantern-night.png", `"print":{"width_mm":700},"separation":{"method":"index","trap_mm":0.2,"index_dpi":90,
		"inks":["black","scarlet","golden-yellow","royal-blue"]},"garment":{"color":"#ffffff"`},
}

// drawn is a source of an order's values and a shop's.
type drawn struct{ *rand.Rand }

func (r drawn) one(of ...string) string { return of[r.IntN(len(of))] }

// maybe gives a text in one of so many draws, and nothing in the others.
func (r drawn) maybe(in int, format string, args ...any) string {
	if r.IntN(in) > 0 {
		return ""
	}
	return fmt.Sprintf(format, args...)
}

func (r drawn) between(low, high float64) float64 {
	return low + float64(int((high-low)*r.Float64()*1000))/1000
}

func (r drawn) amount(most float64) shop.Amount {
	return shop.MustAmount(fmt.Sprintf("%.*f", r.IntN(5), most*r.Float64()*r.Float64()))
}

// order draws the rest of an order: some of its values are out of range, name what is not there, or do not go together.
func (r drawn) order(rest string) string {
	quantity := r.IntN([]int{6, 100, 2000, 50000}[r.IntN(4)])
	device := r.one(`"inkjet-1440"`, `"inkjet-720"`, `"laser-1200"`, `"imagesetter-2540"`, `"own"`,
		fmt.Sprintf(`{"x_dpi":%d,"y_dpi":%d,"width_mm":%.1f,"dmin":0.05,"dmax":%.1f}`, 300+60*r.IntN(50), 300+60*r.IntN(50),
			r.between(100, 900), r.between(1, 4)))
	halftone := fmt.Sprintf(`"dot":%q`, r.one("round", "round", "ellipse", "square", "diamond", "round_square"))
	halftone += r.maybe(2, `,"kind":%q`, r.one("am", "fm", "hybrid"))
	halftone += r.maybe(2, `,"lpi":%d`, 12+r.IntN(95)) + r.maybe(2, `,"angle_deg":%.1f`, r.between(-185, 185))
	halftone += r.maybe(8, `,"dot_um":%d`, 40+r.IntN(300)) + r.maybe(6, `,"highlights":"hold"`)
	return fmt.Sprintf(`{"artwork_id":"art_1",%s,"unit_cost":"%s"},"quantity":%d,"halftone":{%s},"film":{"device":%s%s%s%s%s}%s,
		"lane":%q,"reuse_screens":%t%s}`, rest, r.amount(40), quantity, halftone, device,
		r.maybe(3, `,"margin_mm":%.1f`, r.between(0, 60)), r.maybe(4, `,"polarity":"negative"`),
		r.maybe(4, `,"reading":"wrong_ink_up"`), r.maybe(3, `,"split":true,"overlap_mm":%.1f`, r.between(0, 30)),
		r.maybe(3, `,"mesh":{"threads_per_cm":%s}`, r.one("54", "61", "77", "90", "120", "88")),
		r.one("normal", "rush", "bulk"), r.IntN(5) == 0, r.maybe(4, `,"press":%q`, r.one("manual-6", "auto-10", "none")))
}

// shop draws documents within their ranges: prices from nothing to much, meshes left out, devices and presses of all
// sorts.
func (r drawn) shop() shop.Snapshot {
	s := shop.Default()
	for _, a := range []*shop.Amount{&s.Prices.ScreenSetup, &s.Prices.ScreenReclaim, &s.Prices.EmulsionPerScreen,
		&s.Prices.FilmPerM2, &s.Prices.LabourPerHour, &s.Prices.FlashPerPrint, &s.Prices.SpoilagePercent,
		&s.Prices.ScreenChargeG, &s.Prices.RushPercent, &s.Prices.Minimum} {
		*a = r.amount(50)
	}
	s.Prices.Currency = r.one("EUR", "USD", "JPY", "KWD")
	s.Prices.Markups, s.Prices.BreakQuantities = nil, nil
	for from, percent := 1, 300*r.Float64(); r.IntN(5) > 0; from, percent = from+1+r.IntN(400), percent*r.Float64() {
		a := shop.MustAmount(fmt.Sprintf("%.2f", percent))
		s.Prices.Markups = append(s.Prices.Markups, shop.Markup{From: from, Percent: &a})
	}
	for n := 1 + r.IntN(30); len(s.Prices.BreakQuantities) < 20 && n < 900_000; n += 1 + r.IntN(1+n) {
		s.Prices.BreakQuantities = append(s.Prices.BreakQuantities, n)
	}
	for i := range s.Inks.Inks {
		s.Inks.Inks[i].PricePerKG = r.amount(400)
	}
	s.Meshes.Meshes = slices.DeleteFunc(s.Meshes.Meshes, func(shop.Mesh) bool { return r.IntN(4) == 0 })
	if len(s.Meshes.Meshes) == 0 {
		s.Meshes = shop.Default().Meshes
	}
	own := shop.Device{ID: "own", Name: "Own", Technology: "inkjet", XDPI: r.between(300, 5080), YDPI: r.between(300, 5080),
		WidthMM: r.between(50, 2000), MaxLengthMM: float64(r.IntN(2)) * r.between(100, 3000), ScaleX: r.between(0.9, 1.1),
		ScaleY: r.between(0.9, 1.1), Dmin: r.between(0, 1), Dmax: r.between(1.1, 6), RegisterMM: r.between(0, 5)}
	s.Devices.Devices = append(s.Devices.Devices, own)
	for i := range s.Presses.Presses {
		p := &s.Presses.Presses[i]
		p.Stations, p.PrintsPerHour, p.SetupMinPerScreen = 1+r.IntN(40), r.between(1, 5000), r.between(0, 240)
		p.RegisterMM, p.Transfer = r.between(0, 5), r.between(0.05, 1)
	}
	return s
}

// tally counts what became of the orders.
type tally struct {
	mu      sync.Mutex // guards the rest
	quoted  int
	refused map[string]int // by field and code
}

func (l *tally) add(err error) {
	l.mu.Lock()
	defer l.mu.Unlock()
	if err == nil {
		l.quoted++
		return
	}
	for _, f := range fault.All(err) {
		l.refused[f.Field+" "+f.Code]++
	}
}

// TestTenThousandOrdersAreQuotedOrRefusedByTheirFields draws orders and shops and takes them through all that a quote
// takes: no fault but such as name a field of the order, lines that sum to the total, none of them negative, a price a
// piece that never rises with the quantity, and the same bytes when it is asked again.
func TestTenThousandOrdersAreQuotedOrRefusedByTheirFields(t *testing.T) {
	arts := map[string]*artwork.Inspection{}
	for _, p := range prints {
		if arts[p.art] == nil {
			data, err := testdata.Art.ReadFile("art/" + p.art)
			if err != nil {
				t.Fatal(err)
			}
			arts[p.art] = lookedFile(t, data)
			arts[p.art].Key = p.art
		}
	}
	tables, l := separate.NewTables(512), &tally{refused: map[string]int{}}
	var group sync.WaitGroup
	for worker := range runtime.GOMAXPROCS(0) {
		group.Go(func() {
			for n := worker; n < randomOrders && !t.Failed(); n += runtime.GOMAXPROCS(0) {
				r := drawn{rand.New(rand.NewPCG(randomSeed, uint64(n)))}
				p := prints[n%len(prints)]
				s := shop.Default()
				if r.IntN(3) > 0 {
					s = r.shop()
				}
				text := r.order(p.rest)
				if err := quoted(text, s, arts[p.art], tables, n%20 == 0); err != nil {
					l.add(err)
					if why := unnamed(err); why != "" {
						t.Errorf("order %d: %s\n%s", n, why, text)
					}
					continue
				}
				l.add(nil)
			}
		})
	}
	group.Wait()
	t.Logf("%d quoted, %d refused: %v", l.quoted, randomOrders-l.quoted, l.refused)
	if l.quoted < randomOrders/2 || len(l.refused) < 8 {
		t.Errorf("%d of %d orders are quoted, refused for %d reasons: the draw does not try much", l.quoted, randomOrders,
			len(l.refused))
	}
}

// unnamed says what is wrong with a refusal: it must be of the order, and name its field.
func unnamed(err error) string {
	for _, f := range fault.All(err) {
		if f.Kind != fault.Invalid && f.Kind != fault.Malformed || !strings.HasPrefix(f.Field, "/") || f.Code == "" {
			return fmt.Sprintf("%v at %q: %v", f.Kind, f.Field, err)
		}
	}
	return ""
}

// quoted takes an order through what a quote takes, and gives its refusal or what is wrong with the quote.
func quoted(text string, s shop.Snapshot, insp *artwork.Inspection, tables *separate.Tables, twice bool) error {
	if err := s.Check(); err != nil {
		return fmt.Errorf("the shop: %v", err)
	}
	o, err := order.Parse([]byte(text))
	if err != nil {
		return err
	}
	if o, err = o.Complete(); err != nil {
		return err
	}
	in := plan.Input{Inspection: insp, Order: o, Shop: s, Tables: tables}
	p, err := plan.New(in)
	if err != nil {
		return err
	}
	if err := checkQuote(p.Quote, o.Quantity); err != nil || !twice {
		return err
	}
	again, err := plan.New(in)
	if err != nil {
		return fmt.Errorf("asked again: %v", err)
	}
	one, _ := json.Marshal([]any{p.Doc, p.Quote})
	two, _ := json.Marshal([]any{again.Doc, again.Quote})
	if string(one) != string(two) {
		return fmt.Errorf("asked again it is another:\n%s\n%s", one, two)
	}
	return nil
}

// checkQuote holds a quote's figures against one another.
func checkQuote(q plan.Quote, quantity int) error {
	sum := decimal.Zero
	for _, l := range q.Lines {
		amount := decimal.RequireFromString(l.Amount)
		if sum = sum.Add(amount); amount.IsNegative() {
			return fmt.Errorf("line %+v is negative", l)
		}
	}
	if total := decimal.RequireFromString(q.Total); !total.Equal(sum) {
		return fmt.Errorf("lines sum to %s, the total is %s", sum, total)
	}
	all := append(slices.Clone(q.Breaks), plan.Break{Quantity: quantity, PerPiece: q.PerPiece, Total: q.Total})
	slices.SortStableFunc(all, func(a, b plan.Break) int { return a.Quantity - b.Quantity })
	for i := 1; i < len(all); i++ {
		if decimal.RequireFromString(all[i].PerPiece).GreaterThan(decimal.RequireFromString(all[i-1].PerPiece)) {
			return fmt.Errorf("%d pieces are %s each, %d are %s", all[i-1].Quantity, all[i-1].PerPiece, all[i].Quantity,
				all[i].PerPiece)
		}
	}
	return nil
}
