package pdf

import "image/color"

// The colours of paper. Meaning is never colour alone, and all of them differ
// in grey too or stand beside a word.
var (
	Ink   = color.RGBA{0x16, 0x20, 0x2a, 0xff} // text
	Ink2  = color.RGBA{0x4a, 0x55, 0x60, 0xff} // secondary text
	Line  = color.RGBA{0xc9, 0xcf, 0xd4, 0xff} // rules, never text
	Pass  = color.RGBA{0x00, 0x6b, 0x54, 0xff} // with a tick and the word
	Fail  = color.RGBA{0xb2, 0x3a, 0x00, 0xff} // with a cross and the word
	Care  = color.RGBA{0x8a, 0x5a, 0x00, 0xff} // with a triangle and the word
	SideA = color.RGBA{0x00, 0x5a, 0x9c, 0xff} // solid, round
	SideB = color.RGBA{0xa6, 0x5f, 0x00, 0xff} // hatched, square
	Band  = color.RGBA{0xee, 0xf0, 0xf2, 0xff} // within the limits
)
