//go:build !linux

package pages

import "unsafe"

// advise does nothing: only Linux gives huge pages on advice.
func advise(unsafe.Pointer, uintptr) {}
