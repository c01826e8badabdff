// Package pages makes large buffers that cost little to touch for the first time.
//
// In go a length; out comes a slice of zeros, as make would give it. On Linux the kernel is asked to back a large one
// with huge pages: a page of 4 kB costs a fault each, 0.1 us on bare metal but 12 us on a virtual machine whose host
// handles them, and a picture has ten thousands. Measured on such a machine, 64 MB touched for the first time: 196 ms
// by 4 kB, 4 ms by 2 MB; a job of six plates has some 400 MB.
//
// It is advice: where the kernel has no huge page, or is told to give none, the buffer is an ordinary one.
package pages

import "unsafe"

// hugeBytes is the size of a huge page on amd64, and on arm64 with base pages of 4 kB.
const hugeBytes = 2 << 20

// leastBytes is the smallest buffer that is worth a call to the kernel: it holds one whole huge page wherever it lies.
const leastBytes = 2 * hugeBytes

// Make is make([]T, n).
func Make[T any](n int) []T {
	list := make([]T, n)
	var one T
	advise(unsafe.Pointer(unsafe.SliceData(list)), uintptr(n)*unsafe.Sizeof(one))
	return list
}

// whole is the part of bytes bytes from at on that lies on whole huge pages, as an offset and a length.
func whole(at, bytes uintptr) (from, length uintptr) {
	if bytes < leastBytes {
		return 0, 0
	}
	from = -at & (hugeBytes - 1)
	return from, (bytes - from) &^ (hugeBytes - 1)
}
