package render

import (
	"bytes"
	"context"
	"math"
	"testing"

	"cubby/internal/design"
	"cubby/internal/impedance"
	"cubby/internal/thielesmall"
	"cubby/internal/unit"
)

// measuredResult is an invented box, as described, or built wrong in every way.
func measuredResult(t *testing.T, kind design.Kind, u unit.System, wrong, driverToo bool) *design.MeasuredResult {
	t.Helper()
	spec := thielesmall.Spec{Name: "Test 10", Fs: 30, Qes: 0.5, Qms: 5, Vas: 0.035, Sd: 0.0345, Re: 3.4, Le: 0.0018}
	box := design.ReadyBox{Kind: kind, NetVolume: 0.028}
	if kind == design.Vented {
		box.NetVolume, box.Port = 0.045, design.ReadyPort{Count: 1, Diameter: 0.1, Length: 0.368}
	}
	d, _, err := spec.Complete()
	if err != nil {
		t.Fatal(err)
	}
	air, err := thielesmall.Reference().Air()
	if err != nil {
		t.Fatal(err)
	}
	built := thielesmall.Box{Volume: box.NetVolume}
	if kind == design.Vented {
		r := box.Port.Diameter / 2
		built.LeakQ = 7
		built.Ports = []thielesmall.Port{{Area: math.Pi * r * r, Length: 0.368, Ends: [2]float64{thielesmall.EndFlush(r), thielesmall.EndFree(r)}}}
	}
	if wrong {
		built.Volume *= 0.8
		built.LeakQ = 3
		d.Bl *= 0.88
		for i := range built.Ports {
			built.Ports[i].Length *= 0.7
		}
	}
	c, err := thielesmall.NewCircuit(thielesmall.System{Air: air, Driver: d, Box: built})
	if err != nil {
		t.Fatal(err)
	}
	var s impedance.Sweep
	for f := 6.0; f < 400; f *= 1.03 {
		z := c.Impedance(f)
		s.Frequency, s.Magnitude = append(s.Frequency, f), append(s.Magnitude, math.Hypot(real(z), imag(z)))
		s.Phase = append(s.Phase, math.Atan2(imag(z), real(z))*180/math.Pi)
	}
	req := design.Request{Title: "Wagon, the box under the cargo floor, as it came back from the shop", Units: u, Driver: spec, Boxes: []design.ReadyBox{box}}
	r, err := design.Measure(context.Background(), req, s, design.MeasureOptions{DriverToo: driverToo})
	if err != nil {
		t.Fatal(err)
	}
	return r
}

// One page on either paper, whatever is wrong, and the same bytes every time.
func TestMeasuredReport(t *testing.T) {
	for _, kind := range []design.Kind{design.Sealed, design.Vented} {
		for _, wrong := range []bool{false, true} {
			r := measuredResult(t, kind, map[bool]unit.System{false: unit.Metric, true: unit.Inch}[kind == design.Sealed], wrong, wrong)
			for _, paper := range []string{"letter", "a4"} {
				b, err := layOutMeasured(r, Options{Paper: paper})
				if err != nil {
					t.Fatal(err)
				}
				if len(b.sheets) != 1 {
					t.Errorf("%s, wrong %t, %s: %d pages", kind, wrong, paper, len(b.sheets))
				}
				for _, s := range b.sheets {
					if faults := s.Faults(s.printable()); len(faults) > 0 {
						t.Errorf("%s, wrong %t, %s: %v", kind, wrong, paper, faults)
					}
				}
				var first, second bytes.Buffer
				for _, w := range []*bytes.Buffer{&first, &second} {
					if err := MeasuredReport(w, r, Options{Paper: paper, Source: "van.yaml"}); err != nil {
						t.Fatal(err)
					}
				}
				if !bytes.HasPrefix(first.Bytes(), []byte("%PDF-")) || !bytes.Equal(first.Bytes(), second.Bytes()) {
					t.Error("not the same document twice")
				}
			}
		}
	}
	if err := MeasuredReport(&bytes.Buffer{}, nil, Options{}); err == nil {
		t.Error("a report on nothing is no error")
	}
}
