package pages

import "golang.org/x/sys/unix"

// advise asks for huge pages. What the kernel answers changes nothing for the caller: one built without them says no. The
// range is given as numbers, since it holds more than one object.
func advise(from, length uintptr) {
	_, _, _ = unix.Syscall(unix.SYS_MADVISE, from, length, unix.MADV_HUGEPAGE)
}
