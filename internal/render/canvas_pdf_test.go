package render

import (
	"bytes"
	"fmt"
	"math"
	"strings"
	"testing"

	"github.com/jung-kurt/gofpdf"
)

// A circle ends where it begins, as the file has it: else its outline has a spike there.
func TestCirclesClose(t *testing.T) {
	for _, at := range []Pt{{29.417, 100.4163}, {60.0001, 33.33333}, {101.2345, 250.9876}} {
		f := gofpdf.New("P", "mm", "A4", "")
		f.SetCompression(false)
		f.AddPage()
		c := &pageCanvas{f: f}
		c.circle(op{pts: []Pt{at}, radius: 0.917, stroke: &Stroke{Width: 0.35}})
		var out bytes.Buffer
		if err := f.Output(&out); err != nil {
			t.Fatal(err)
		}
		var first, last, x [2]float64
		var skip float64
		curves := 0
		for line := range strings.SplitSeq(out.String(), "\n") {
			if strings.HasSuffix(line, " m") {
				fmt.Sscan(line, &first[0], &first[1])
			}
			if n, _ := fmt.Sscan(line, &skip, &skip, &skip, &skip, &x[0], &x[1]); n == 6 && strings.HasSuffix(line, " c") {
				last, curves = x, curves+1
			}
		}
		if curves == 0 || math.Hypot(first[0]-last[0], first[1]-last[1]) > 1e-9 {
			t.Errorf("the circle at %v begins at %v and ends, after %d curves, at %v", at, first, curves, last)
		}
	}
}
