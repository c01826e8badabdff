//go:build !linux

package pages

// advise does nothing: only Linux gives huge pages on advice.
func advise(uintptr, uintptr) {}
