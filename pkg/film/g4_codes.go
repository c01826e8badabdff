package film

import (
	"strconv"
	"strings"
)

// longestRun is the largest run one pair of make-up and terminating codes says; longer runs repeat its make-up code.
const longestRun = 2560 + 63

// codeBits are the bits of a code word in a table of codes; above them stands their number.
const codeBits = 1<<27 - 1

// codes holds code words with their lengths: bits in the low 27, their number in the top 5.
type codes struct {
	runs     [2][longestRun + 1]uint32 // make-up and terminating joined; 0 white, 1 black
	vertical [8]uint32                 // for a change 3 left .. 3 right of the one above; the last is empty
	quads    [1 << 12]uint64           // four vertical codes joined, 3 bits each, the first lowest: length<<32 | code
}

// newCodes joins the tables of T.4 and takes the vertical modes of T.6, table 1.
func newCodes() *codes {
	c := new(codes)
	for colour, tables := range [2][2]string{{whiteTerminating(), whiteMakeUp()}, {blackTerminating(), blackMakeUp()}} {
		ends, makeUps := strings.Fields(tables[0]), strings.Fields(tables[1])
		for run := range longestRun + 1 {
			word := ends[run%64]
			if run >= 64 {
				word = makeUps[run/64-1] + word
			}
			c.runs[colour][run] = parseCode(word)
		}
	}
	for i, word := range [7]string{"0000010", "000010", "010", "1", "011", "000011", "0000011"} {
		c.vertical[i] = parseCode(word)
	}
	c.joinVerticals()
	return c
}

// joinVerticals fills quads: four codes of up to 7 bits are 28.
func (c *codes) joinVerticals() {
	for index := range c.quads {
		var code, length uint64
		for k := range 4 {
			one := c.vertical[index>>(3*k)&7]
			code = code<<(one>>27) | uint64(one&codeBits)
			length += uint64(one >> 27)
		}
		c.quads[index] = length<<32 | code
	}
}

// horizontal joins the code of horizontal mode with those of its two runs, the first of a colour 0 white or 1 black:
// 3 + 25 + 21 bits at most. Neither run is above longestRun.
func (c *codes) horizontal(colour int, first, second int) (code uint64, length uint) {
	a, b := c.runs[colour][first], c.runs[1-colour][second]
	lengthA, lengthB := uint(a>>27), uint(b>>27)
	code = 1<<(lengthA+lengthB) | uint64(a&codeBits)<<lengthB | uint64(b&codeBits)
	return code, 3 + lengthA + lengthB
}

// parseCode turns a code word as the Recommendations print it into bits and length.
func parseCode(word string) uint32 {
	v, err := strconv.ParseUint(word, 2, 27)
	if err != nil {
		panic("film: " + err.Error()) // the tables are our own
	}
	return uint32(v) | uint32(len(word))<<27
}
