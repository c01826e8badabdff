// Package pages makes large buffers that cost little to touch for the first time.
//
// In go a length; out comes a slice of zeros, as make would give it. On Linux the kernel is asked to back a large one
// with huge pages: a page of 4 kB costs a fault each, 0.1 us on bare metal but 12 us on a virtual machine whose host
// handles them, and a picture has ten thousands. Measured on such a machine, 64 MB touched for the first time: 196 ms
// by 4 kB, 4 ms by 2 MB; a job of six plates has some 400 MB.
//
// It is advice: where the kernel has no huge page, or is told to give none, the buffer is an ordinary one. What is used of a
// buffer becomes resident by 2 MB, so this is for buffers that are filled. GODEBUG=disablethp=1, by which Go's runtime
// keeps from huge pages, ends the advice too.
package pages

import "unsafe"

// hugeBytes is the size of a huge page on amd64, and on arm64 with base pages of 4 kB.
const hugeBytes = 2 << 20

// Make is make([]T, n).
func Make[T any](n int) []T {
	list := make([]T, n)
	var one T
	if bytes := uintptr(n) * unsafe.Sizeof(one); bytes >= leastBytes {
		advise(covering(uintptr(unsafe.Pointer(unsafe.SliceData(list))), bytes))
	}
	return list
}

// leastBytes is the smallest buffer that is worth a call to the kernel. Ours.
const leastBytes = hugeBytes / 2

// covering is the range of whole huge pages that a buffer of bytes from at on lies in. What else lies there is of the
// same heap, which grows by more than a huge page, and gains by it too.
func covering(at, bytes uintptr) (from, length uintptr) {
	from = at &^ (hugeBytes - 1)
	to := (at + bytes + hugeBytes - 1) &^ (hugeBytes - 1)
	return from, to - from
}
