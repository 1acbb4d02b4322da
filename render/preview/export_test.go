package preview

import "image/color"

// Nearest256 is func(c color.RGBA) int { return 16 + xterm.Index(c) } for the tests.
var Nearest256 = func(c color.RGBA) int { return 16 + xterm.Index(c) }
