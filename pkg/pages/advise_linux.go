package pages

import (
	"unsafe"

	"golang.org/x/sys/unix"
)

// advise asks for huge pages. What the kernel answers changes nothing for the caller: one built without them says no.
func advise(start unsafe.Pointer, bytes uintptr) {
	from, length := whole(uintptr(start), bytes)
	if length > 0 {
		_ = unix.Madvise(unsafe.Slice((*byte)(unsafe.Add(start, from)), length), unix.MADV_HUGEPAGE)
	}
}
