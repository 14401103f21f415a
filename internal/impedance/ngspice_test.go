package impedance

import (
	"bufio"
	"bytes"
	"fmt"
	"math"
	"math/rand/v2"
	"strconv"
	"strings"
	"testing"

	"cubby/internal/spice"
	"cubby/internal/thielesmall"
)

// The meter that the sweeps are read with: noise of the magnitude, a share,
// and of the phase, degrees (one standard deviation).
const meterMagnitude, meterPhase = 0.005, 0.3

// A built is a driver in what was really built, told in single parts.
type built struct {
	name string
	d    thielesmall.Driver
	box  *thielesmall.Box // nil: free air
	mass float64          // stuck to the cone, kg
}

func reference() thielesmall.Air {
	a, err := thielesmall.Reference().Air()
	if err != nil {
		panic(err)
	}
	return a
}

// netlist writes case i for ngspice: one ampere into the coil, so that the voltage is the impedance; force and pressure
// as voltage, velocity and flow as current. The port is a transmission line with an inertance at each end.
func (k built) netlist(b *bytes.Buffer, i int) {
	air, d := reference(), k.d
	bulk := air.Density * air.SoundSpeed * air.SoundSpeed
	p := func(format string, a ...any) {
		fmt.Fprintf(b, strings.ReplaceAll(format, "#", strconv.Itoa(i))+"\n", a...)
	}
	p("I# 0 t# AC 1\nVi# t# a# 0\nRe# a# b# %.12g\nLe# b# c# %.12g", d.Re, math.Max(d.Le, 1e-12))
	if d.R2 > 0 {
		p("L2# c# e# %.12g\nR2# c# e# %.12g", d.L2, d.R2)
	} else {
		p("R2# c# e# 1e-9")
	}
	p("Hb# e# 0 Vu# %.12g\nHf# m# 0 Vi# %.12g", d.Bl, d.Bl)
	p("Rm# m# k# %.12g\nLm# k# l# %.12g\nCm# l# n# %.12g", d.Rms, d.Mms+k.mass, d.Cms)
	if k.box == nil {
		p("Vu# n# 0 0")
		return
	}
	box := k.box
	cab := box.Volume / bulk
	back := "0" // of the cone: the open, or a chamber of its own
	if box.Rear > 0 {
		back = "r#"
		p("Crear# r# 0 %.12g\nRrear# r# 0 1e16", box.Rear/bulk)
	}
	p("Vu# n# o# 0\nEp# o# 0 "+back+" x# %.12g\nFu# x# "+back+" Vu# %.12g", d.Sd, d.Sd)
	p("Cab# x# 0 %.12g\nRdc# x# 0 1e16", cab)
	r := box.Passive
	for j := range r.Count {
		p("Rp#p%d x# u#p%d %.12g\nLp#p%d u#p%d v#p%d %.12g\nCp#p%d v#p%d 0 %.12g", j, j, math.Max(r.Rms, 1e-9)/(r.Sd*r.Sd),
			j, j, j, r.Mms/(r.Sd*r.Sd), j, j, r.Cms*r.Sd*r.Sd)
	}
	inertance := 0.0 // 1 over that of all ports as lumps
	for j, q := range box.Ports {
		p("Li#p%d x# y#p%d %.12g", j, j, air.Density*q.Ends[1]/q.Area)
		p("T#p%d y#p%d 0 z#p%d 0 Z0=%.12g TD=%.12g", j, j, j, air.Density*air.SoundSpeed/q.Area, q.Length/air.SoundSpeed)
		p("Lo#p%d z#p%d 0 %.12g", j, j, air.Density*q.Ends[0]/q.Area)
		inertance += q.Area / (air.Density * (q.Length + q.Ends[0] + q.Ends[1]))
	}
	if box.LeakQ > 0 {
		w0 := math.Sqrt(inertance / cab)
		if r.Count > 0 {
			w0 = math.Sqrt((1/r.Cms + float64(r.Count)*r.Sd*r.Sd/cab) / r.Mms)
		} else if inertance == 0 {
			w0 = math.Sqrt((1/d.Cms + d.Sd*d.Sd/cab) / d.Mms)
		}
		p("Rl# x# 0 %.12g", box.LeakQ/(w0*cab))
	}
}

// sweeps has ngspice solve all cases in one process, and reads the answers with the meter's noise; the seed is fixed.
func sweeps(t *testing.T, cases []built) []Sweep {
	t.Helper()
	var b bytes.Buffer
	b.WriteString("impedances\n")
	for i, k := range cases {
		k.netlist(&b, i)
	}
	b.WriteString(".control\nset numdgt=12\nset wr_singlescale\nset wr_vecnames\nac dec 60 5 500\nwrdata answer.txt")
	for i := range cases {
		fmt.Fprintf(&b, " v(t%d)", i)
	}
	b.WriteString("\nquit\n.endc\n.end\n")
	answer := spice.Run(t, b.String(), "answer.txt")
	all := make([]Sweep, len(cases))
	rng := rand.New(rand.NewPCG(8, 1971))
	in := bufio.NewScanner(bytes.NewReader(answer))
	in.Buffer(nil, 1<<20)
	for in.Scan() {
		fields := strings.Fields(in.Text())
		f, err := strconv.ParseFloat(fields[0], 64)
		if err != nil {
			continue // the line of names
		}
		if len(fields) != 1+2*len(cases) {
			t.Fatalf("ngspice line of %d columns, want %d", len(fields), 1+2*len(cases))
		}
		for i := range all {
			re, err1 := strconv.ParseFloat(fields[1+2*i], 64)
			im, err2 := strconv.ParseFloat(fields[2+2*i], 64)
			if err1 != nil || err2 != nil {
				t.Fatalf("ngspice line %q", in.Text())
			}
			s := &all[i]
			s.Frequency = append(s.Frequency, f)
			s.Magnitude = append(s.Magnitude, math.Hypot(re, im)*(1+meterMagnitude*rng.NormFloat64()))
			s.Phase = append(s.Phase, math.Atan2(im, re)*180/math.Pi+meterPhase*rng.NormFloat64())
		}
	}
	if all[0].Len() < 100 {
		t.Fatalf("ngspice answered at %d frequencies", all[0].Len())
	}
	return all
}

// Invented drivers of usual classes: shallow 8 inch, regular 10, heavy 12.
func classes() []thielesmall.Driver {
	return []thielesmall.Driver{
		{Name: "shallow 8", Count: 1, Re: 3.3, Le: 0.9e-3, Bl: 8.2, Sd: 0.0214, Mms: 0.062, Cms: 0.30e-3, Rms: 2.2},
		{Name: "regular 10", Count: 1, Re: 3.4, Le: 1.4e-3, L2: 1.1e-3, R2: 3.1, Bl: 13, Sd: 0.0335, Mms: 0.13, Cms: 0.20e-3, Rms: 4},
		{Name: "heavy 12", Count: 1, Re: 1.8, Le: 1.1e-3, L2: 0.9e-3, R2: 2, Bl: 14.5, Sd: 0.0480, Mms: 0.245, Cms: 0.13e-3, Rms: 7},
	}
}

// share reports a value that is off by more than a share of what is wanted.
func share(t *testing.T, what string, got, want, tolerance float64) {
	t.Helper()
	t.Logf("%s: %.5g, true %.5g (%+.2f %%)", what, got, want, 100*(got/want-1))
	if !(math.Abs(got/want-1) <= tolerance) {
		t.Errorf("%s = %.5g, want %.5g within %.2g", what, got, want, tolerance)
	}
}

// A driver in free air, with an added mass and in a test box, through noise: every parameter within 2 %.
func TestNgspiceDriver(t *testing.T) {
	const volume, within = 0.020, 0.02
	var cases []built
	for _, d := range classes() {
		cases = append(cases,
			built{name: d.Name, d: d},
			built{name: d.Name + " with mass", d: d, mass: 0.6 * d.Mms},
			built{name: d.Name + " in a box", d: d, box: &thielesmall.Box{Volume: volume}})
	}
	all := sweeps(t, cases)
	for i, d := range classes() {
		t.Run(d.Name, func(t *testing.T) {
			fit := make([]FreeAir, 3)
			for j := range fit {
				var err error
				if fit[j], err = FitFreeAir(all[3*i+j], FreeAirOptions{}); err != nil {
					t.Fatalf("%s: %v", cases[3*i+j].name, err)
				}
			}
			free := fit[0]
			share(t, "Re", free.Re.Value, d.Re, within)
			share(t, "fs", free.Fs.Value, d.Fs(), within/4)
			share(t, "Qms", free.Qms.Value, d.Qms(), within)
			share(t, "Qes", free.Qes.Value, d.Qes(), within)
			share(t, "Qts", free.Qts.Value, d.Qts(), within)
			want := Inductance
			if d.R2 > 0 {
				want = InductanceAndPair
			}
			if free.Coil != want {
				t.Errorf("coil %v, want %v", free.Coil, want)
			}
			share(t, "inductance at 100 Hz", imag(free.Impedance(100)-free.motional(100)), imag(coilOf(d, 100)), 0.05)
			byMass, err := AddedMass(free, fit[1], 0.6*d.Mms, d.Sd)
			if err != nil {
				t.Fatal(err)
			}
			byBox, err := TestBox(free, fit[2], volume, d.Sd, reference())
			if err != nil {
				t.Fatal(err)
			}
			for method, m := range map[string]Moving{"mass": byMass, "box": byBox} {
				share(t, method+": Mms", m.Mms.Value, d.Mms, within)
				share(t, method+": Cms", m.Cms.Value, d.Cms, within)
				share(t, method+": Bl", m.Bl.Value, d.Bl, within)
				share(t, method+": Rms", m.Rms.Value, d.Rms, within)
				share(t, method+": Vas", m.Vas.Value, d.Vas(reference()), within)
				if off := math.Abs(m.Vas.Value - d.Vas(reference())); off > 4*m.Vas.Sigma {
					t.Errorf("%s: Vas is off by %.2g m3, its uncertainty is %.2g", method, off, m.Vas.Sigma)
				}
			}
		})
	}
}

// motional is the fitted part of the moving system.
func (f FreeAir) motional(hz float64) complex128 {
	return freeValues{fs: f.Fs.Value, qms: f.Qms.Value, qes: f.Qes.Value, re: f.Re.Value}.at(hz)
}

func coilOf(d thielesmall.Driver, f float64) complex128 {
	return freeValues{le: d.Le, l2: d.L2, r2: d.R2, qes: 1, fs: 1}.at(f)
}

// port returns a tube that tunes volume to fb.
func port(volume, fb, bore float64) []thielesmall.Port {
	ends := [2]float64{thielesmall.EndFlush(bore / 2), thielesmall.EndFree(bore / 2)}
	area := math.Pi / 4 * bore * bore
	l, ok := thielesmall.PortLength(reference(), volume, fb, area, 1, ends[0]+ends[1])
	if !ok {
		panic("no such port")
	}
	return []thielesmall.Port{{Area: area, Length: l, Ends: ends}}
}

// Boxes that were built wrong on purpose: what the fit finds against what was
// really built. The design is what the fit is told.
func TestNgspiceBoxesBuiltWrong(t *testing.T) {
	const volumeWithin, tuningWithin, leakWithin = 0.02, 0.005, 0.10
	d := classes()
	type row struct {
		name   string
		d      thielesmall.Driver
		design thielesmall.Box
		built  thielesmall.Box
	}
	vented := func(volume, fb, bore, ql float64) thielesmall.Box {
		return thielesmall.Box{Volume: volume, LeakQ: ql, Ports: port(volume, fb, bore)}
	}
	// short is a port cut too short by 34 mm, in a box that is smaller too.
	short := vented(0.045, 32, 0.1, 7)
	short.Volume -= 0.0018
	short.Ports = append([]thielesmall.Port(nil), short.Ports...)
	short.Ports[0].Length -= 0.034
	passive := func(volume, fb, ql float64, count int) thielesmall.Box {
		cone := thielesmall.Radiator{Count: count, Sd: 0.0345, Cms: 0.6e-3, Rms: 1.2}
		return thielesmall.Box{Volume: volume, LeakQ: ql, Passive: cone.Tuned(reference(), volume, fb)}
	}
	bandPass := func(rear, front, fb, ql float64) thielesmall.Box {
		b := vented(front, fb, 0.1, ql)
		b.Rear = rear
		return b
	}
	rows := []row{
		{"passive as designed", d[1], passive(0.028, 30, 7, 1), passive(0.028, 30, 7, 1)},
		{"two radiators, 4 l short and 2 Hz high", d[2], passive(0.040, 28, 7, 2), passive(0.036, 30, 9, 2)},
		{"passive and leaky", d[0], passive(0.014, 36, 7, 1), passive(0.0145, 34, 3, 1)},
		{"band-pass as described", d[1], bandPass(0.018, 0.022, 48, 7), bandPass(0.018, 0.022, 48, 7)},
		{"band-pass, less behind and more in front", d[1], bandPass(0.018, 0.022, 48, 7), bandPass(0.015, 0.025, 45, 10)},
		{"band-pass, more behind, leaky", d[2], bandPass(0.030, 0.030, 45, 7), bandPass(0.036, 0.028, 47, 4)},
		{"sealed as designed", d[1], thielesmall.Box{Volume: 0.028}, thielesmall.Box{Volume: 0.028}},
		{"sealed 1.8 l short", d[1], thielesmall.Box{Volume: 0.028}, thielesmall.Box{Volume: 0.0262}},
		{"sealed a third too large", d[2], thielesmall.Box{Volume: 0.030}, thielesmall.Box{Volume: 0.040}},
		{"sealed and leaky", d[0], thielesmall.Box{Volume: 0.014}, thielesmall.Box{Volume: 0.013, LeakQ: 5}},
		{"vented as designed", d[1], vented(0.045, 32, 0.1, 7), vented(0.045, 32, 0.1, 7)},
		{"vented 1.8 l and 34 mm short", d[1], vented(0.045, 32, 0.1, 7), short},
		{"vented and leaky", d[2], vented(0.060, 33, 0.1, 7), vented(0.057, 31.5, 0.1, 3)},
		{"vented with half the air", d[0], vented(0.024, 38, 0.075, 7), vented(0.013, 47, 0.075, 12)},
		{"vented a fifth too large", d[2], vented(0.050, 30, 0.1, 7), vented(0.060, 27, 0.1, 15)},
	}
	var cases []built
	for _, r := range rows {
		cases = append(cases, built{name: r.name, d: r.d, box: &r.built})
	}
	for i, s := range sweeps(t, cases) {
		r := rows[i]
		for _, phase := range []bool{true, false} {
			t.Run(fmt.Sprintf("%s, phase %t", r.name, phase), func(t *testing.T) {
				if !phase {
					s.Phase = nil
				}
				b, err := FitBox(s, thielesmall.System{Air: reference(), Driver: r.d, Box: r.design}, BoxOptions{})
				if err != nil {
					t.Fatal(err)
				}
				share(t, "volume", b.Volume.Value, r.built.Volume, volumeWithin)
				if r.built.Rear > 0 {
					share(t, "rear", b.Rear.Value, r.built.Rear, volumeWithin)
				}
				if !b.Sealed() {
					share(t, "tuning", b.Tuning.Value, r.built.Tuning(reference()), tuningWithin)
				}
				if r.built.LeakQ > 0 {
					share(t, "QL", b.QL.Value, r.built.LeakQ, leakWithin)
				} else if b.QL.Value > 0 && b.QL.Value < 100 {
					t.Errorf("QL %.3g in a tight box", b.QL.Value)
				}
				if b.FitError > 1 {
					t.Errorf("fit error %.2g %%", b.FitError)
				}
			})
		}
	}
}

// Impedance returns the fitted curve at f Hz, ohm.
func (f FreeAir) Impedance(hz float64) complex128 {
	return freeValues{f.Fs.Value, f.Qms.Value, f.Qes.Value, f.Re.Value, f.Le.Value, f.L2.Value, f.R2.Value}.at(hz)
}
