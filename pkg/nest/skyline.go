package nest

// skyline is one sheet while it is being filled: the front of what is taken, from left to right. Everything in it
// counts the gap to the right of and below each film as the film's.
type skyline struct {
	width, most int // most: how far down it may go, 0 without end
	steps       []step
	length      int
}

// step is a stretch of the front: taken down to y from x on, to the next step.
type step struct{ x, y int }

func newSkyline(width, most int) *skyline {
	return &skyline{width: width, most: most, steps: []step{{0, 0}}}
}

// spot is a place for a film, and how bad it is: how far down its foot comes, then the room shut in above it.
type spot struct{ x, y, foot, waste, at int }

func (s spot) betterThan(o spot) bool {
	if s.foot != o.foot {
		return s.foot < o.foot
	}
	return s.waste < o.waste
}

// best is the best spot for a film of this size; false where none is.
func (s *skyline) best(w, h int) (spot, bool) {
	var best spot
	found := false
	for at := range s.steps {
		one, ok := s.spotAt(at, w, h)
		if ok && (!found || one.betterThan(best)) {
			best, found = one, true
		}
	}
	return best, found
}

// spotAt lays the film against the left end of a step.
func (s *skyline) spotAt(at, w, h int) (spot, bool) {
	x := s.steps[at].x
	if x+w > s.width {
		return spot{}, false
	}
	y := 0
	for i := at; i < len(s.steps) && s.steps[i].x < x+w; i++ {
		y = max(y, s.steps[i].y)
	}
	if s.most > 0 && y+h > s.most {
		return spot{}, false
	}
	waste := 0
	for i := at; i < len(s.steps) && s.steps[i].x < x+w; i++ {
		waste += (y - s.steps[i].y) * (min(s.end(i), x+w) - s.steps[i].x)
	}
	return spot{x, y, y + h, waste, at}, true
}

func (s *skyline) end(i int) int {
	if i+1 < len(s.steps) {
		return s.steps[i+1].x
	}
	return s.width
}

// take fills a spot.
func (s *skyline) take(p spot, w int) {
	right := p.x + w
	front := append([]step(nil), s.steps[:p.at]...)
	front = append(front, step{p.x, p.foot})
	for i := p.at; i < len(s.steps); i++ {
		switch {
		case s.end(i) <= right:
		case s.steps[i].x < right:
			front = append(front, step{right, s.steps[i].y})
		default:
			front = append(front, s.steps[i])
		}
	}
	s.steps, s.length = front, max(s.length, p.foot)
}
