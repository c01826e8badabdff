package store

import (
	"strings"

	"tamis/pkg/fault"
)

// maxPartBytes bounds one part of a key: file systems stop at 255, and a temporary name needs room.
// maxKeyBytes is under S3's 1024.
const (
	maxPartBytes = 200
	maxKeyBytes  = 900
)

// checkKey refuses a key that is not ours. S3 servers over a file tree resolve "..", "." and "//", so such a key
// would reach another shop's objects. A bad key is our bug, so the fault is Internal.
func checkKey(key string) error {
	if key == "" || len(key) > maxKeyBytes {
		return badKey(key, "is empty or too long")
	}
	if err := checkKeyBytes(key); err != nil {
		return err
	}
	for part := range strings.SplitSeq(key, "/") {
		switch {
		case part == "":
			return badKey(key, "has an empty part")
		case part[0] == '.':
			return badKey(key, "has a part that starts with a dot")
		case len(part) > maxPartBytes:
			return badKey(key, "has a part over 200 bytes")
		}
	}
	return nil
}

// checkPrefix refuses a prefix that no key could start with.
func checkPrefix(prefix string) error {
	if strings.HasPrefix(prefix, "/") || strings.HasPrefix(prefix, ".") || strings.Contains(prefix, "//") ||
		strings.Contains(prefix, "/.") {
		return badKey(prefix, "is no prefix of a key")
	}
	return checkKeyBytes(prefix)
}

func checkKeyBytes(key string) error {
	for i := range len(key) {
		c := key[i]
		if (c < 'a' || c > 'z') && (c < '0' || c > '9') && !strings.ContainsRune("/._-", rune(c)) {
			return badKey(key, "has a byte outside a-z 0-9 / . _ -")
		}
	}
	return nil
}

func badKey(key, why string) error {
	return fault.Newf(fault.Internal, "", "store_key", "object key %.80q %s", key, why)
}

func notFound(key string) error {
	return fault.Newf(fault.NotFound, "", "object_not_found", "there is no object %s", key)
}

func otherContent(key string) error {
	return fault.Newf(fault.Conflict, "", "object_differs", "object %s holds other content", key)
}

func damaged(key, how string) error {
	return fault.Newf(fault.Unavailable, "", "object_damaged", "object %s was damaged on the way: %s", key, how)
}

func stale(key string) error {
	return fault.Newf(fault.Precondition, "", "object_changed", "object %s was changed meanwhile", key)
}

func pastEnd(key string, off, bytes int64) error {
	return fault.Invalidf("", "range_past_end", "object %s has %d bytes; the range starts at %d", key, bytes, off)
}
