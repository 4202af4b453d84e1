package sheet

import (
	"image/color"

	"github.com/boombuler/barcode"
	"github.com/boombuler/barcode/code128"
	"github.com/boombuler/barcode/qr"
)

// The quiet zones, in modules: without them a reader does not find the code.
const (
	qrQuiet  = 4
	barQuiet = 10
)

// The smallest modules that a copy of a copy still reads, in millimetres.
const (
	leastSquare = 0.33
	leastBar    = 0.2
	mostBar     = 0.4
)

// drawing draws something with its top left corner at a place.
type drawing func(p *paper, x, y float64)

// square is a QR code of a side, its quiet zone included; nil where there is no
// text, or none that could be read at that size.
func square(text string, side float64) drawing {
	if text == "" {
		return nil
	}
	for _, level := range []qr.ErrorCorrectionLevel{qr.M, qr.L} {
		code, err := qr.Encode(text, level, qr.Auto)
		if err != nil {
			continue
		}
		module := side / float64(code.Bounds().Dx()+2*qrQuiet)
		if module >= leastSquare {
			return func(p *paper, x, y float64) {
				p.modules(code, x+qrQuiet*module, y+qrQuiet*module, module, module)
			}
		}
	}
	return nil
}

// bars is a Code 128 as wide as the room at most; nil where the text fits none
// that could be read. The margin on its left is a quiet zone, the room has the
// one on its right.
func bars(text string, room, height float64) drawing {
	code, err := code128.Encode(text)
	if err != nil {
		return nil
	}
	module := min(mostBar, room/float64(code.Bounds().Dx()+barQuiet))
	if module < leastBar {
		return nil
	}
	return func(p *paper, x, y float64) { p.modules(code, x, y, module, height) }
}

// modules draws the dark modules of a code, those beside each other as one.
func (p *paper) modules(code barcode.Barcode, x, y, width, height float64) {
	size := code.Bounds()
	dark := func(column, row int) bool { return column < size.Max.X && code.At(column, row) == color.Black }
	for row := size.Min.Y; row < size.Max.Y; row++ {
		for column := size.Min.X; column < size.Max.X; column++ {
			from := column
			for dark(column, row) {
				column++
			}
			if column > from {
				p.fill(x+float64(from)*width, y+float64(row)*height, float64(column-from)*width, height)
			}
		}
	}
}
