package raster

// blockPixels is how many pixels a kernel of 256 bits makes at a time, and how many source pixels each half of them
// can take: eight pixels touch at most nine neighbours where the plane is no finer than the device.
const blockPixels = 16

// spreadBlock says what 16 pixels are made of: for each half, from which source pixel on sixteen are read; for each
// pixel, which two of them; and their weights in 32nds. The assembly knows this layout.
type spreadBlock struct {
	from    [2]int32
	places  [blockPixels][2]uint8
	weights [blockPixels][2]uint8
}

// newBlocks lays out an axis in blocks, the last one ending with the axis. There are none where the axis or the
// plane, size pixels, is shorter than a block, or where the plane is finer than the device.
func (a *Axis) newBlocks(size int) []spreadBlock {
	count := len(a.Index)
	if count < blockPixels || size < blockPixels {
		return nil
	}
	blocks := make([]spreadBlock, 0, (count+blockPixels-1)/blockPixels)
	for at := 0; at < count; at += blockPixels {
		b, ok := a.newBlock(min(at, count-blockPixels), size)
		if !ok {
			return nil
		}
		blocks = append(blocks, b)
	}
	return blocks
}

func (a *Axis) newBlock(at, size int) (b spreadBlock, ok bool) {
	for i := range blockPixels {
		half := i / (blockPixels / 2)
		if i%(blockPixels/2) == 0 {
			b.from[half] = min(a.Index[at+i], int32(size-blockPixels))
		}
		w := a.Weight[at+i]
		place := a.Index[at+i] - b.from[half]
		next := place + 1
		if w == 0 {
			next = place
		}
		if next >= blockPixels {
			return b, false
		}
		b.places[i], b.weights[i] = [2]uint8{uint8(place), uint8(next)}, [2]uint8{32 - w, w}
	}
	return b, true
}
