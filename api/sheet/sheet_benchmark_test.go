package sheet_test

import (
	"bytes"
	"testing"

	"codeberg.org/go-fonts/dejavu/dejavusanscondensed"
	"codeberg.org/go-fonts/dejavu/dejavusanscondensedbold"
	"codeberg.org/go-pdf/fpdf"
)

// A sheet beside a page with the same fonts and a letter of each: at most twice
// as long.
func BenchmarkSheet(b *testing.B) {
	s := sample(b)
	b.Run("empty page", func(b *testing.B) {
		for b.Loop() {
			pdf := fpdf.New("P", "mm", "A4", "")
			pdf.AddUTF8FontFromBytes("face", "", dejavusanscondensed.TTF)
			pdf.AddUTF8FontFromBytes("face", "B", dejavusanscondensedbold.TTF)
			pdf.AddPage()
			for _, style := range []string{"", "B"} {
				pdf.SetFont("face", style, 9)
				pdf.Text(10, 10, "A")
			}
			var out bytes.Buffer
			if err := pdf.Output(&out); err != nil {
				b.Fatal(err)
			}
		}
	})
	b.Run("sheet", func(b *testing.B) {
		for b.Loop() {
			if _, err := s.PDF(); err != nil {
				b.Fatal(err)
			}
		}
	})
}
