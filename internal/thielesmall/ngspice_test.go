package thielesmall

import (
	"bufio"
	"bytes"
	"cubby/internal/spice"
	"fmt"
	"math"
	"math/cmplx"
	"math/rand/v2"
	"strconv"
	"strings"
	"testing"
)

// Agreement with ngspice, a general-purpose circuit simulator that knows nothing of loudspeakers, over 10 to 300 Hz.
const (
	spiceLevel     = 0.01  // dB
	spiceImpedance = 0.001 // relative
	spiceMotion    = 0.002 // relative: excursion and port speed
	spicePhase     = 0.1   // degrees
)

// Two systems that can be followed by hand.
func TestNgspiceSealed(t *testing.T) {
	compareWithSpice(t, []spiceCase{{
		name: "sealed", single: Driver{Count: 1, Re: 3.4, Le: 1.4e-3, Bl: 13, Sd: 0.0335, Mms: 0.13, Cms: 2e-4, Rms: 4}, count: 1,
		box: Box{Volume: 0.025},
	}})
}

func TestNgspiceVented(t *testing.T) {
	r := 0.05
	compareWithSpice(t, []spiceCase{{
		name: "vented", single: Driver{Count: 1, Re: 3.4, Le: 1.4e-3, Bl: 13, Sd: 0.0335, Mms: 0.13, Cms: 2e-4, Rms: 4}, count: 1,
		box: Box{Volume: 0.045, LeakQ: 7, Ports: []Port{{Area: math.Pi * r * r, Length: 0.35, Ends: [2]float64{EndFlush(r), EndFree(r)}}}},
	}})
}

// Many random systems of every kind, solved by one ngspice process.
func TestNgspiceRandomSystems(t *testing.T) {
	rng := rand.New(rand.NewPCG(19, 71))
	var cases []spiceCase
	for i := 0; i < 64; i++ {
		cases = append(cases, randomSpiceCase(rng, i))
	}
	compareWithSpice(t, cases)
}

// A spiceCase is a system told in single parts, so that ngspice joins coils and drivers by itself.
type spiceCase struct {
	name   string
	single Driver // one driver with one coil; with two coils, the data of one coil
	coils  Connection
	count  int
	joined Connection
	source float64
	box    Box
}

// system is the same told to the package.
func (k spiceCase) system() System {
	d := k.single
	switch k.coils {
	case Parallel:
		d.Re /= 2
	case Series:
		d.Re, d.Bl, d.Le = 2*d.Re, 2*d.Bl, 4*d.Le
	}
	return System{Air: referenceAir(), Driver: d.times(k.count, k.joined), Source: k.source, Box: k.box}
}

// between draws evenly on a logarithmic scale.
func between(rng *rand.Rand, low, high float64) float64 {
	return low * math.Pow(high/low, rng.Float64())
}

func randomSpiceCase(rng *rand.Rand, i int) spiceCase {
	air := referenceAir()
	fs, sd, re := between(rng, 18, 60), between(rng, 0.012, 0.12), between(rng, 1, 8)
	qes, qms, vas := between(rng, 0.25, 1), between(rng, 2, 12), between(rng, 0.008, 0.3)
	k := spiceCase{name: fmt.Sprintf("random %d", i), count: 1, single: driverFrom(air, fs, qes, qms, vas, sd, re)}
	k.single.Le = between(rng, 1e-4, 4e-3)
	k.box.Volume = vas / between(rng, 0.4, 4)
	if i%2 == 1 {
		k.single.L2, k.single.R2 = between(rng, 5e-4, 5e-3), between(rng, 1, 20)
	}
	if i%3 == 1 {
		k.source = between(rng, 0.02, 0.5)
	}
	if i%5 >= 3 {
		k.count = 2 + i%2
		k.joined = []Connection{Parallel, Series}[i/5%2]
	}
	switch i % 7 {
	case 5:
		k.coils = Series
	case 6:
		k.coils = Parallel
	}
	if k.coils != Unstated {
		k.single.L2, k.single.R2 = 0, 0 // the coupled pair is told for Le alone
	}
	if i%4 != 0 {
		k.box.LeakQ = between(rng, 3, 30)
	}
	if i%11 == 3 {
		k.box.AbsorbQ = between(rng, 5, 50)
	}
	for n := (i / 2) % 4; n > 0; n-- {
		fb := between(rng, 20, 50)
		r := between(rng, 0.02, 0.08)
		ends := [2]float64{EndFlush(r), EndFree(r)}
		if l, ok := PortLength(air, k.box.Volume, fb, math.Pi*r*r, 1, ends[0]+ends[1]); ok && l < 1.2 && l*math.Pi*r*r < k.box.Volume/4 {
			k.box.Ports = append(k.box.Ports, Port{Area: math.Pi * r * r, Length: l, Ends: ends})
		}
	}
	return k
}

// driverFrom returns one driver with the given small-signal parameters.
func driverFrom(a Air, fs, qes, qms, vas, sd, re float64) Driver {
	w := 2 * math.Pi * fs
	cms := vas / (a.stiffness() * sd * sd)
	mms := 1 / (w * w * cms)
	return Driver{Count: 1, Re: re, Bl: math.Sqrt(w * mms * re / qes), Sd: sd, Mms: mms, Cms: cms, Rms: w * mms / qms}
}

// netlist writes case i; the analogy is pressure and force as voltage, flow and velocity as current.
func (k spiceCase) netlist(b *bytes.Buffer, i int, air Air) {
	d := k.single
	n := func(name string) string { return fmt.Sprintf("n%d%s", i, name) }
	fmt.Fprintf(b, "* %s\nVs%d %s 0 AC 1\nRg%d %s %s %.12g\n", k.name, i, n("in"), i, n("in"), n("t"), math.Max(k.source, 1e-6))
	// motors: a chain of drivers in series, or all from the terminals to ground
	from := n("t")
	for j := 0; j < k.count; j++ {
		to := "0"
		if k.joined == Series && j < k.count-1 {
			to = n(fmt.Sprintf("s%d", j))
		}
		inner, outer := n("box"), n("amb")
		if k.box.Rear > 0 {
			inner, outer = n("rear"), n("box")
		}
		k.motor(b, fmt.Sprintf("%dd%d", i, j), from, to, inner, outer)
		if k.joined == Series {
			from = to
		}
	}
	// the box
	fmt.Fprintf(b, "Vamb%d %s 0 0\n", i, n("amb"))
	cab := k.box.Volume * k.box.gain() / (air.Density * air.SoundSpeed * air.SoundSpeed)
	f0 := k.box.Tuning(air)
	if !k.box.Tuned() {
		f0 = 1 / (2 * math.Pi * math.Sqrt(d.Mms*d.Cms)) * math.Sqrt(1+float64(k.count)*d.Cms*d.Sd*d.Sd/cab)
	}
	fmt.Fprintf(b, "Cab%d %s %s %.12g\n", i, n("box"), n("ca"), cab)
	ra := 1e-6
	if k.box.AbsorbQ > 0 {
		ra = 1 / (2 * math.Pi * f0 * cab * k.box.AbsorbQ)
	}
	fmt.Fprintf(b, "Ra%d %s 0 %.12g\nRdc%d %s 0 1e16\n", i, n("ca"), ra, i, n("box"))
	if k.box.LeakQ > 0 {
		fmt.Fprintf(b, "Rl%d %s %s %.12g\n", i, n("box"), n("amb"), k.box.LeakQ/(2*math.Pi*f0*cab))
	}
	if k.box.Rear > 0 {
		fmt.Fprintf(b, "Crear%d %s 0 %.12g\nRrear%d %s 0 1e16\n", i, n("rear"), k.box.Rear/(air.Density*air.SoundSpeed*air.SoundSpeed), i, n("rear"))
	}
	for j := range k.box.Passive.Count {
		r := k.box.Passive
		id := fmt.Sprintf("%dr%d", i, j)
		fmt.Fprintf(b, "Rp%s %s %s %.12g\nLp%s %s %s %.12g\nCp%s %s %s %.12g\nVp%s %s %s 0\n",
			id, n("box"), n("a"+id), math.Max(r.Rms, 1e-9)/(r.Sd*r.Sd), id, n("a"+id), n("b"+id), r.Mms/(r.Sd*r.Sd),
			id, n("b"+id), n("c"+id), r.Cms*r.Sd*r.Sd, id, n("c"+id), n("amb"))
	}
	for j, p := range k.box.Ports {
		id := fmt.Sprintf("%dp%d", i, j)
		fmt.Fprintf(b, "Li%s %s %s %.12g\n", id, n("box"), n("a"+id), air.Density*p.Ends[1]/p.Area)
		fmt.Fprintf(b, "T%s %s 0 %s 0 Z0=%.12g TD=%.12g\n", id, n("a"+id), n("b"+id), air.Density*air.SoundSpeed/p.Area, p.Length/air.SoundSpeed)
		fmt.Fprintf(b, "Lo%s %s %s %.12g\nVp%s %s %s 0\n", id, n("b"+id), n("c"+id), air.Density*p.Ends[0]/p.Area, id, n("c"+id), n("amb"))
	}
}

// motor writes one driver between two electrical nodes: its coils, its moving
// system, and its cone between the box and the outside.
func (k spiceCase) motor(b *bytes.Buffer, id, from, to, box, amb string) {
	d := k.single
	coils := 1
	if k.coils != Unstated {
		coils = 2
	}
	start := from
	for c := 0; c < coils; c++ {
		end := to
		if k.coils == Series && c == 0 {
			end = "e" + id + "mid"
		}
		x := fmt.Sprintf("%sc%d", id, c)
		fmt.Fprintf(b, "Vi%s %s e1%s 0\nRe%s e1%s e2%s %.12g\nLe%s e2%s e3%s %.12g\n", x, start, x, x, x, x, d.Re, x, x, x, math.Max(d.Le, 1e-12))
		emf := "e3" + x
		if d.R2 > 0 {
			fmt.Fprintf(b, "L2%s e3%s e4%s %.12g\nR2%s e3%s e4%s %.12g\n", x, x, x, d.L2, x, x, x, d.R2)
			emf = "e4" + x
		}
		fmt.Fprintf(b, "Hb%s %s %s Vu%s %.12g\n", x, emf, end, id, d.Bl)
		// force of this coil, in series in the mechanical loop
		fmt.Fprintf(b, "Hf%s m%d%s m%d%s Vi%s %.12g\n", x, c+1, id, c, id, x, d.Bl)
		if k.coils == Series {
			start = end
		}
	}
	if coils == 2 {
		fmt.Fprintf(b, "Kc%s Le%sc0 Le%sc1 1\n", id, id, id)
	}
	fmt.Fprintf(b, "Vm%s m0%s 0 0\n", id, id)
	fmt.Fprintf(b, "Rm%s m%d%s k1%s %.12g\nLm%s k1%s k2%s %.12g\nCm%s k2%s k3%s %.12g\nVu%s k3%s k4%s 0\n",
		id, coils, id, id, d.Rms, id, id, id, d.Mms, id, id, id, d.Cms, id, id, id)
	fmt.Fprintf(b, "Ep%s k4%s 0 %s %s %.12g\n", id, id, amb, box, d.Sd)
	fmt.Fprintf(b, "Fu%s %s %s Vu%s %.12g\n", id, box, amb, id, d.Sd)
}

// spiceRun is what ngspice answers: one row of complex numbers for each vector.
type spiceRun map[string][]complex128

// runSpice solves all cases in one process.
func runSpice(t *testing.T, cases []spiceCase) spiceRun {
	t.Helper()
	var b bytes.Buffer
	b.WriteString("loudspeakers in boxes\n")
	for i, k := range cases {
		k.netlist(&b, i, referenceAir())
	}
	b.WriteString(".control\nset filetype=ascii\nset numdgt=14\nac dec 24 10 300\nwrite answer.raw all\nquit\n.endc\n.end\n")
	return parseRaw(t, spice.Run(t, b.String(), "answer.raw"))
}

// parseRaw reads the simulator's text format.
func parseRaw(t *testing.T, raw []byte) spiceRun {
	t.Helper()
	var names []string
	run := make(spiceRun)
	in := bufio.NewScanner(bytes.NewReader(raw))
	section, next := "", 0
	for in.Scan() {
		line := strings.TrimSpace(in.Text())
		switch {
		case line == "Variables:" || line == "Values:":
			section = line
			continue
		case line == "" || section == "":
			continue
		}
		fields := strings.Fields(line)
		if section == "Variables:" {
			names = append(names, fields[1])
			continue
		}
		re, im, _ := strings.Cut(fields[len(fields)-1], ",")
		x, err1 := strconv.ParseFloat(re, 64)
		y, err2 := strconv.ParseFloat(im, 64)
		if err1 != nil || err2 != nil {
			t.Fatalf("ngspice value %q", line)
		}
		name := names[next%len(names)]
		run[name] = append(run[name], complex(x, y))
		next++
	}
	if len(run["frequency"]) < 30 {
		t.Fatalf("ngspice answered at %d frequencies", len(run["frequency"]))
	}
	return run
}

// compareWithSpice solves the cases both ways.
func compareWithSpice(t *testing.T, cases []spiceCase) {
	t.Helper()
	run := runSpice(t, cases)
	worst := map[string]float64{}
	for i, k := range cases {
		c, err := NewCircuit(k.system())
		if err != nil {
			t.Errorf("%s: %v", k.name, err)
			continue
		}
		for j, f := range run["frequency"] {
			k.compare(t, run, c, i, j, real(f), worst)
		}
	}
	t.Logf("%d systems x %d frequencies, largest differences: level %.2g dB, phase %.2g deg, impedance %.2g, excursion %.2g, port speed %.2g (relative)",
		len(cases), len(run["frequency"]), worst["level"], worst["phase"], worst["impedance"], worst["excursion"], worst["port speed"])
}

func (k spiceCase) compare(t *testing.T, run spiceRun, c *Circuit, i, j int, f float64, worst map[string]float64) {
	t.Helper()
	vector := func(format string, a ...any) complex128 {
		name := strings.ToLower(fmt.Sprintf(format, a...))
		v, ok := run[name]
		if !ok {
			t.Fatalf("ngspice has no %s", name)
		}
		return v[j]
	}
	check := func(what string, diff, tol float64) {
		worst[what] = math.Max(worst[what], math.Abs(diff))
		if !(math.Abs(diff) <= tol) {
			t.Errorf("%s at %.1f Hz: %s differs by %.3g, allowed %.3g", k.name, f, what, diff, tol)
		}
	}
	p := c.At(f, 1)
	w := 2 * math.Pi * f
	drawn := vector("i(vamb%d)", i) // outward flow
	pressure := complex(0, w*c.System.Air.Density/(2*math.Pi)) * drawn
	check("level", p.Level-20*math.Log10(cmplx.Abs(pressure)/20e-6), spiceLevel)
	turn := p.Phase - cmplx.Phase(pressure)*180/math.Pi
	check("phase", math.Remainder(turn, 360), spicePhase)
	z := vector("v(n%dt)", i) / -vector("i(vs%d)", i)
	check("impedance", cmplx.Abs(p.Impedance-z)/cmplx.Abs(z), spiceImpedance)
	u := vector("i(vu%dd0)", i)
	check("excursion", p.Excursion/(math.Sqrt2*cmplx.Abs(u)/w)-1, spiceMotion)
	fastest := 0.0
	for n, port := range k.box.Ports {
		fastest = math.Max(fastest, math.Sqrt2*cmplx.Abs(vector("i(vp%dp%d)", i, n))/port.Area)
	}
	if r := k.box.Passive; r.Count > 0 {
		check("radiator", p.Radiator/(math.Sqrt2*cmplx.Abs(vector("i(vp%dr0)", i))/(r.Sd*w))-1, spiceMotion)
	}
	if fastest > 0 {
		check("port speed", p.PortSpeed/fastest-1, spiceMotion)
	}
}
