package plan_test

import (
	"fmt"
	"testing"

	"tamis/pkg/plan"
	"tamis/pkg/separate"
)

// BenchmarkNew plans a tonal picture: the first time, again for another quantity with what was solved kept, and a flat
// one.
func BenchmarkNew(b *testing.B) {
	for _, flat := range []bool{false, true} {
		insp := inspected(b, flat)
		insp.Key = fmt.Sprint(flat)
		in := input(b, insp, "#17181a", "")
		in.Tables = nil
		b.Run(fmt.Sprintf("flat=%t/first", flat), func(b *testing.B) {
			for b.Loop() {
				if _, err := plan.New(in); err != nil {
					b.Fatal(err)
				}
			}
		})
		b.Run(fmt.Sprintf("flat=%t/again", flat), func(b *testing.B) {
			in := in
			in.Tables = separate.NewTables(4)
			for b.Loop() {
				in.Order.Quantity++
				if _, err := plan.New(in); err != nil {
					b.Fatal(err)
				}
			}
		})
	}
}
