package web

import (
	"fmt"
	"image/color"
	"strings"

	"github.com/boombuler/barcode"
	"github.com/boombuler/barcode/code128"
	"github.com/boombuler/barcode/qr"

	"tackline/fault"
)

// scanCode is a code as a drawing: dark runs of modules in a path, with the quiet zone around them that its standard asks for.
type scanCode struct {
	Text          string
	Width, Height string // in mm
	Box           string // viewBox, in modules
	D             string
	Square        bool
}

const (
	barModule    = 0.33 // mm, width of the narrowest bar; common practice for hand-held scanners
	barTall      = 14   // mm
	barQuiet     = 10   // modules beside the bars: ISO/IEC 15417
	squareModule = 0.8  // mm
	squareQuiet  = 4    // modules around the square: ISO/IEC 18004
	widestBars   = 230  // modules that fit a badge
)

// bars draws a text as Code 128 (ISO/IEC 15417); as a square where it has letters that Code 128 has not, or would be wider than a badge.
func bars(text string) (scanCode, error) {
	b, err := code128.Encode(text)
	if err != nil || b.Bounds().Dx() > widestBars {
		return square(text, squareModule)
	}
	c := drawCode(text, b, barQuiet, 0)
	c.Width, c.Height = millimetres(float64(b.Bounds().Dx()+2*barQuiet)*barModule), millimetres(barTall)
	return c, nil
}

// square draws a text as a QR code (ISO/IEC 18004), module in mm.
func square(text string, module float64) (scanCode, error) {
	b, err := qr.Encode(text, qr.M, qr.Auto)
	if err != nil {
		return scanCode{}, fault.New(fault.Invalid, "%.60q is too long for a code.", text)
	}
	c := drawCode(text, b, squareQuiet, squareQuiet)
	side := millimetres(float64(b.Bounds().Dx()+2*squareQuiet) * module)
	c.Width, c.Height, c.Square = side, side, true
	return c, nil
}

// drawCode writes the dark modules of a code as runs in a path.
func drawCode(text string, b barcode.Barcode, quietX, quietY int) scanCode {
	var d strings.Builder
	size := b.Bounds()
	dark := func(x, y int) bool {
		return color.GrayModel.Convert(b.At(size.Min.X+x, size.Min.Y+y)).(color.Gray).Y < 128
	}
	for y := range size.Dy() {
		for x := 0; x < size.Dx(); x++ {
			n := 0
			for x+n < size.Dx() && dark(x+n, y) {
				n++
			}
			if n > 0 {
				fmt.Fprintf(&d, "M%d %dh%dv1h-%dz", x+quietX, y+quietY, n, n)
				x += n
			}
		}
	}
	return scanCode{Text: text, Box: fmt.Sprintf("0 0 %d %d", size.Dx()+2*quietX, size.Dy()+2*quietY), D: d.String()}
}

func millimetres(x float64) string { return fmt.Sprintf("%.2fmm", x) }
