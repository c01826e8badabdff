package pages

import (
	"os"
	"strings"

	"golang.org/x/sys/unix"
)

// wanted is false where the operator keeps Go's runtime from huge pages.
var wanted = !strings.Contains(os.Getenv("GODEBUG"), "disablethp=1")

// advise asks for huge pages. What the kernel answers changes nothing for the caller: one built without them says no. The
// range is given as numbers, since it holds more than one object.
func advise(from, length uintptr) {
	if wanted {
		_, _, _ = unix.Syscall(unix.SYS_MADVISE, from, length, unix.MADV_HUGEPAGE)
	}
}
