// Package film makes the film positives: the page that all films of a job share, with its marks, and the files.
//
// In go the print's size, the device and, a plate at a time, the ink's coverage with its screen; out come Group 4
// TIFFs, written band by band, and a PDF of the same streams. On the way each row is drawn upright with ink as 1,
// then mirrored and made negative where asked: only this package knows black and white. A print that no film holds is
// cut into Pages that overlap; rows that come ready, of a nest, are written as a Sheet.
// It refuses to know inks, meshes and orders: what the legend says comes as text.
//
// Sources: TIFF Revision 6.0 (1992); ITU-T T.6 (1988) with the run codes of T.4; ISO 32000-1:2008.
package film
