package design

import (
	"fmt"
	"math"
	"strconv"
	"strings"
	"testing"

	"cubby/internal/panels"
	"cubby/internal/plane"
	"cubby/internal/solid"
	"cubby/internal/spice"
	"cubby/internal/thielesmall"
)

// The tuning that is printed for a bent slot and for a tube with elbows is that of the circuit of what is built: ngspice, a
// general-purpose circuit simulator, resonates the box's air with the air of every straight leg as the boards hold it, every bend
// for itself, and the ends. A sharp square corner acts as 1 - 2 ln2/pi of its height (exact); a round bend as its arc on the radius
// (R + sqrt(R^2 - a^2))/2, for which 1/r was integrated over the bore.
func TestNgspicePrintedTuning(t *testing.T) {
	air, err := thielesmall.Reference().Air()
	if err != nil {
		t.Fatal(err)
	}
	stiffness := air.Density * air.SoundSpeed * air.SoundSpeed
	outside, err := solid.Straight(plane.Polygon{{}, {X: 0.46}, {X: 0.46, Y: 0.4}, {Y: 0.4}}, solid.Across, 0, 0.55)
	if err != nil {
		t.Fatal(err)
	}
	for _, d := range []duct{
		{count: 1, height: 0.04, width: 0.3},
		{count: 1, bore: 0.071, outside: 0.075},
		{count: 2, bore: 0.046, outside: 0.05},
	} {
		spec := panels.Spec{Outside: outside, Wood: panels.Wood{Board: "MDF", Thickness: 0.018}, Face: "front",
			Driver: panels.Driver{Frame: 0.2, Cutout: 0.18, Depth: 0.09, Magnet: 0.1, Displacement: 0.0008}}
		spec.Port = d.wood(0.62, &Request{})
		b, err := panels.Build(spec)
		if err != nil {
			t.Errorf("%+v: %v", d, err)
			continue
		}
		p := b.Ports[0]
		if d.isSlot() {
			d.width = p.Width
		}
		ends := d.ends(p.InnerSection)
		printed := thielesmall.Box{Volume: b.NetVolume, Ports: d.ports(p.Effective, ends)}.Tuning(air)
		if len(p.Legs) < 2 {
			t.Errorf("%+v is straight", d)
		}
		net := fmt.Sprintf("tuning\nI1 0 n AC 1\nC1 n 0 %.12g\n", b.NetVolume/stiffness)
		for k := range d.count {
			from, n := "n", 0
			add := func(length float64) {
				n++
				to := fmt.Sprintf("p%d_%d", k, n)
				net += fmt.Sprintf("L%d_%d %s %s %.12g\n", k, n, from, to, air.Density*length/d.area())
				from = to
			}
			for i, leg := range p.Legs {
				bend := i > 0
				switch {
				case !d.isSlot():
					add(leg)
					if a := d.bore / 2; bend {
						add(math.Pi / 2 * (p.Bend + math.Sqrt(p.Bend*p.Bend-a*a)) / 2)
					}
				default: // its legs end on the corner's middle
					for _, side := range []bool{bend, i < len(p.Legs)-1} {
						if side {
							leg -= p.Height / 2
						}
					}
					add(leg)
					if bend {
						add(p.Height * (1 - 2*math.Ln2/math.Pi))
					}
				}
			}
			add(ends[0] + ends[1])
			net += fmt.Sprintf("R%d %s 0 1e-3\n", k, from)
		}
		net += fmt.Sprintf(".control\nset numdgt=12\nac lin 4001 %g %g\nwrdata answer.txt v(n)\nquit\n.endc\n.end\n", printed*0.9, printed*1.1)
		answer := spice.Run(t, net, "answer.txt")
		at, most := 0.0, 0.0
		for _, line := range strings.Split(string(answer), "\n") {
			if x := strings.Fields(line); len(x) >= 3 {
				f, _ := strconv.ParseFloat(x[0], 64)
				re, _ := strconv.ParseFloat(x[1], 64)
				im, _ := strconv.ParseFloat(x[2], 64)
				if v := math.Hypot(re, im); v > most {
					at, most = f, v
				}
			}
		}
		t.Logf("%d legs, %.0f mm along the centre line: printed %.3f Hz, ngspice %.3f Hz", len(p.Legs), 1000*p.Length, printed, at)
		if math.Abs(at/printed-1) > 1e-3 {
			t.Errorf("%+v: printed %.3f Hz, ngspice %.3f Hz", d, printed, at)
		}
	}
}
