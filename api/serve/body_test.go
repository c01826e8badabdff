package serve

import (
	"bytes"
	"io"
	"testing"
	"testing/iotest"
)

func TestABodyIsReadWholeWhateverItsLengthIsSaidToBe(t *testing.T) {
	unhurried := func(int) error { return nil }
	for _, size := range []int{0, 1, 64 << 10, 64<<10 + 1, 3 << 20, 5 << 20} {
		body := bytes.Repeat([]byte("tone "), size/5+1)[:size]
		for _, promised := range []int64{-1, 0, int64(size), int64(size) + 1000, 1 << 40} {
			for _, r := range []io.Reader{bytes.NewReader(body), iotest.DataErrReader(bytes.NewReader(body))} {
				got, err := readBounded(r, unhurried, promised, 6<<20)
				if err != nil || !bytes.Equal(got, body) {
					t.Fatalf("%d bytes, %d promised: %d came, %v", size, promised, len(got), err)
				}
			}
		}
		if _, err := readBounded(bytes.NewReader(body), unhurried, int64(size), int64(size)-1); err == nil && size > 0 {
			t.Errorf("%d bytes were taken where one less is", size)
		}
	}
}

func TestRoomIsNotMadeForAPromise(t *testing.T) {
	const promised, most = 100 << 20, 120 << 20
	for _, row := range []struct {
		came     int
		promised int64
		room     int
	}{{64 << 10, promised, 128 << 10}, {8 << 20, promised, 16 << 20}, {64 << 20, promised, promised + 1},
		{64 << 20, -1, most + 1}, {64 << 20, 5, most + 1}} {
		if got := roomier(make([]byte, row.came), row.promised, most); len(got) != row.came || cap(got) != row.room {
			t.Errorf("%d bytes of %d came: room for %d, not %d", row.came, row.promised, cap(got), row.room)
		}
	}
}
