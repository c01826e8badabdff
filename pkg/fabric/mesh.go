// Package fabric knows the mesh a stencil is built on: its geometry, how much ink it carries, which mesh a plate needs,
// and the moire a halftone makes with it.
//
// In go thread counts and diameters as a weaver's data sheet states them, and what a plate asks of a mesh; out come
// openings, ink volumes, ranked picks with every constraint and its figure, and beats with their period and
// visibility. It refuses to know inks by name, prices, films or files.
//
// Sources: geometry and theoretical ink volume as weavers' data sheets and printing encyclopaedias define them; beats
// after I. Amidror, R. D. Hersch, V. Ostromoukhov, J. Electronic Imaging 3(3) 295-317 (1994); visibility after
// J. L. Mannos and D. J. Sakrison, IEEE Trans. Inf. Theory 20 (1974).
package fabric

import "math"

// assumedFabricPerThread is fabric thickness over thread diameter where a sheet gives none.
// Ours: weavers' sheets read 1.475 to 1.556; 1.55 is the upper end, since calendering is the exception on garment mesh.
const assumedFabricPerThread = 1.55

// Mesh is one fabric: plain weave, the same count both ways.
//
// ThreadsPerCM is the count, 5..200; ThreadUM the thread's diameter before weaving, in micrometres, less than the
// pitch; FabricUM the woven thickness, 0 where the sheet gives none (then 1.55 thread diameters are assumed).
// Yellow says the threads are dyed: less light scatters under the stencil's edge, exposure takes longer.
type Mesh struct {
	ThreadsPerCM float64
	ThreadUM     float64
	FabricUM     float64
	Yellow       bool
}

// PitchUM is the distance from thread to thread, in micrometres.
func (m Mesh) PitchUM() float64 { return 10000 / m.ThreadsPerCM }

// OpeningUM is the clear width between two threads, in micrometres: pitch less thread. Weavers' sheets state some 2 um
// more, since a woven thread is flattened.
func (m Mesh) OpeningUM() float64 { return m.PitchUM() - m.ThreadUM }

// OpenArea is the share of the fabric that is hole, 0..1.
func (m Mesh) OpenArea() float64 {
	r := m.OpeningUM() / m.PitchUM()
	return r * r
}

// ThicknessUM is the fabric's thickness, stated or assumed.
func (m Mesh) ThicknessUM() float64 {
	if m.FabricUM > 0 {
		return m.FabricUM
	}
	return assumedFabricPerThread * m.ThreadUM
}

// InkVolumeCM3M2 is the theoretical ink volume in cm3 per m2: open area times thickness (1 um over 1 m2 is 1 cm3).
// What reaches the cloth is less: see the press's transfer.
func (m Mesh) InkVolumeCM3M2() float64 { return m.OpenArea() * m.ThicknessUM() }

// TPI is the count in threads per inch.
func (m Mesh) TPI() float64 { return 2.54 * m.ThreadsPerCM }

// SmallestDotUM is the smallest dot or line the mesh carries safely: two threads and one opening, in micrometres.
// Practice: a dot that may fall on a thread crossing needs an opening on either side to hold the stencil or pass ink.
func (m Mesh) SmallestDotUM() float64 { return m.PitchUM() + m.ThreadUM }

// LargestParticleUM is the largest pigment or filler grain that passes, in micrometres. Practice: a third of the
// opening.
func (m Mesh) LargestParticleUM() float64 { return m.OpeningUM() / 3 }

// Ratio is mesh count over screen ruling, both per inch; freqLPI > 0.
func (m Mesh) Ratio(freqLPI float64) float64 { return m.TPI() / freqLPI }

// Valid tells whether the figures describe a fabric: counts 5..200 per cm and threads thinner than their pitch.
func (m Mesh) Valid() bool {
	return m.ThreadsPerCM >= 5 && m.ThreadsPerCM <= 200 && m.ThreadUM > 0 && m.OpeningUM() > 0 &&
		m.FabricUM >= 0 && !math.IsNaN(m.FabricUM)
}
