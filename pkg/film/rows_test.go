package film

import (
	"bytes"
	"io"
	"slices"
	"testing"

	"tamis/pkg/fault"
	"tamis/pkg/raster"
)

func TestRowsGiveBackTheBitsThatWereWritten(t *testing.T) {
	for _, change := range []func(*Spec){
		func(*Spec) {},
		func(s *Spec) { s.Negative = true },
		func(s *Spec) { s.Reading = WrongInkUp },
		func(s *Spec) { s.Negative, s.Reading = true, WrongInkUp },
	} {
		s := small()
		change(&s)
		l := mustLay(t, s)
		for _, p := range plates(t, l) {
			data, written := mustWrite(t, l, p)
			rows, err := l.OpenRows(bytes.NewReader(data))
			if err != nil {
				t.Fatal(err)
			}
			checkRows(t, l, p, rows, written.InkArea)
		}
	}
}

// checkRows compares what is read with the print as the painter lays it.
func checkRows(t *testing.T, l *Layout, p Plate, rows *Rows, inkArea float64) {
	t.Helper()
	g := newPainting(l, p)
	painter := g.painter(p)
	page := raster.NewBitmap(l.WidthPX, 1)
	got, want := make([]uint64, (rows.Width+63)/64), make([]uint64, (rows.Width+63)/64)
	ink := 0
	for y := range rows.Height {
		if err := rows.Next(got); err != nil {
			t.Fatal(err)
		}
		clear(page.Words)
		clear(want)
		painter.paint(page.Words[g.first:g.first+g.words], l.box[1]+y)
		raster.OrBits(want, page.Words, -l.box[0])
		if !slices.Equal(got, want) {
			t.Fatalf("plate %d, row %d of the print differs", p.N, y)
		}
		ink += raster.CountBits(got, 0, rows.Width)
	}
	if area := float64(ink) / float64(rows.Width*rows.Height); area != inkArea {
		t.Errorf("plate %d: %g of the box is ink, the film says %g", p.N, area, inkArea)
	}
	if err := rows.Next(got); err != io.EOF {
		t.Errorf("after the last row: %v, want io.EOF", err)
	}
}

func TestRowsOfATornFilmAreRefused(t *testing.T) {
	l := mustLay(t, small())
	data, _ := mustWrite(t, l, plates(t, l)[0])
	rows, err := l.OpenRows(bytes.NewReader(data[:len(data)*2/3]))
	for row := make([]uint64, 64); err == nil; {
		err = rows.Next(row[:(rows.Width+63)/64])
	}
	if !fault.Is(err, fault.Internal) {
		t.Errorf("a torn film gives %v", err)
	}
}

func BenchmarkRows(b *testing.B) {
	l := mustLay(b, small())
	data, _ := mustWrite(b, l, plates(b, l)[0])
	b.ReportAllocs()
	for b.Loop() {
		rows, err := l.OpenRows(bytes.NewReader(data))
		row := make([]uint64, (rows.Width+63)/64)
		for err == nil {
			err = rows.Next(row)
		}
		if err != io.EOF {
			b.Fatal(err)
		}
	}
	b.ReportMetric(float64(b.Elapsed().Nanoseconds())/float64(b.N*l.WidthPX*l.HeightPX), "ns/px")
}
