package main

import (
	"fmt"
	"os"
)

// page is a grey picture to be made a film of, for Ghostscript and for Tamis alike.
type page struct {
	raw               string // a file of widthPX x heightPX bytes
	widthPX, heightPX int
	widthIN, heightIN float64
	dpi               int
}

// The screen of every film but those of a plan.
const (
	freqLPI  = 55
	angleDeg = 22.5
)

// ghostscript writes the page's PostScript beside its bytes and gives the call that makes a Group 4 TIFF of it.
// PostScript's image takes 0 as black, so its film is the negative of ours: the same dots at the same cost.
func (p page) ghostscript() (command, error) {
	const program = `<< /PageSize [%[1]g %[2]g] >> setpagedevice
%[3]d %[4]g {dup mul exch dup mul add 1 exch sub} setscreen
%[1]g %[2]g scale
%[5]d %[6]d 8 [%[5]d 0 0 -%[6]d 0 %[6]d] (%[7]s) (r) file image
showpage
`
	source := p.raw + ".ps"
	text := fmt.Sprintf(program, 72*p.widthIN, 72*p.heightIN, freqLPI, angleDeg, p.widthPX, p.heightPX, p.raw)
	err := os.WriteFile(source, []byte(text), 0o600)
	return command{words: []string{"gs", "-q", "-dNOSAFER", "-dBATCH", "-dNOPAUSE", "-sDEVICE=tiffg4",
		fmt.Sprintf("-r%d", p.dpi), "-o", p.raw + ".gs.tif", source}}, err
}
