package separate

// Tones is how much of the print box a plate prints at each tone: entry i is the share of the box, 0..1, at tone i/255.
// What is cut solid stands at 255; what is bare may stand at 0 or be left out.
type Tones [256]float64

// add counts a share at a tone, 0..1, divided between the two entries beside it so that the mean stays.
func (t *Tones) add(tone, share float64) {
	at := min(max(tone, 0), 1) * 255
	low := min(int(at), 254)
	above := float64(share * (at - float64(low)))
	t[low] += share - above
	t[low+1] += above
}

// Through is the share of the print box that is ink, 0..1, where a tone comes out as the area it is given by a rule.
func (t *Tones) Through(area func(tone float64) float64) float64 {
	sum := 0.0
	for i, share := range t {
		if share != 0 {
			sum += float64(share * area(float64(i)/255))
		}
	}
	return sum
}

// inks counts a share of the print box that the plate prints at a tone, 0..1.
func (p *Plate) inks(tone, share float64) {
	p.Coverage += float64(share * tone)
	p.Tones.add(tone, share)
}
