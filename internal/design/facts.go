package design

import (
	"cmp"
	"fmt"
	"math"
	"strings"

	"cubby/internal/search"
	"cubby/internal/thielesmall"
	"cubby/internal/unit"
)

// A Fact is one figure of a box that reports print: wherever it is printed it is printed from here.
type Fact struct {
	Name   string
	Values []float64  // SI; several are a size, or a figure with where it is
	Unit   string     // of Values, as in Check: "m" "m3" "kg" "g" (kg too) "Hz" "dB" "ohm at" "" ...
	Band   [2]float64 // 10 and 90 % marks over the tolerances, in the same unit; both 0: none
	Words  string     // what stands in place of a figure that there is not; may be empty
	Place  Part
}

// Part is the side of a box of which a fact tells.
type Part int8

// The parts.
const (
	OfTheBox   Part = iota // size and weight, printed in both systems of units
	OfTheSound             // sound and electrics, in the open
)

// micron is the least difference of two sizes that is worth a line, m.
const micron = 1e-6

// weighed is what the weight of a design counts: the driver too where its own is stated.
func (r *Result) weighed() string {
	if r.Request.Frame.Mass == 0 {
		return "weight, no driver"
	}
	return "weight, with driver"
}

// Facts lists the key figures of a design, in the order of print.
func (r *Result) Facts(d *Design) []Fact {
	size, done := d.Size(), d.Box.Finished()
	one := func(name string, v float64, unitName string) Fact {
		return Fact{Name: name, Values: []float64{v}, Unit: unitName}
	}
	all := []Fact{one("outside, wide", size[0], "m"), one("outside, deep", size[1], "m"), one("outside, high", size[2], "m")}
	if done[0] > size[0]+micron || done[1] > size[1]+micron || done[2] > size[2]+micron {
		all = append(all, Fact{Name: "finished", Values: done[:], Unit: "m"})
	}
	all = append(all, one("air inside, net", d.Box.NetVolume, "m3"), one(r.weighed(), d.Mass, "kg"), one("driver opening", d.Box.Drivers.Opening, "m"))
	if at := d.Box.Radiators; at != nil {
		all = append(all, one("radiator opening", at.Opening, "m"))
	}
	if p := d.Port; p != nil {
		f := Fact{Name: "port, bore × length", Values: []float64{p.Bore, p.Length}, Unit: "m"}
		if p.Bore == 0 {
			f.Name, f.Values = "slot, h × w × length", []float64{p.Height, p.Width, p.Length}
		}
		if p.Count > 1 {
			f.Name = fmt.Sprintf("%d %ss, each", p.Count, f.Name[:len("port")])
		}
		all = append(all, f)
	}
	lo, _ := d.Box.Spec.Outside.Bounds()
	all = append(all, one("box, from the left", lo.X, "m"))
	var s *Spread
	if d.Rank == 1 {
		s = r.Spread
	}
	all = append(append(all, soundFacts(d.Kind, d.Figures, s)...), r.meanFact(d, s))
	return append(append(all, driveFacts(d.Evaluation, d.Port != nil, r.Driver.Xmax, d.Fitting)...), radiatorFacts(d.Radiator)...)
}

// Brief is what tells one design from another: its Qtc or tuning, its outside, its lowest note and its mean level.
func (r *Result) Brief(d *Design) (voice, outside, lowest, mean Fact) {
	sound := soundFacts(d.Kind, d.Figures, nil)
	return sound[voiceAt], Fact{Name: "outside", Values: []float64{d.Box.OuterVolume}, Unit: "m3"}, sound[0], r.meanFact(d, nil)
}

// Offered says why a design is offered.
func (d *Design) Offered() string {
	switch d.Because {
	case search.OtherKind.String():
		return "best of the other kind"
	case search.QuietPort.String():
		return "quietest port"
	case search.Smallest.String():
		return "smallest within 2 dB"
	case search.LowestCorner.String():
		return "lowest within 2 dB"
	}
	return "best by the aim"
}

// MeanLevel is the mean greatest level of an evaluation over the band of the job's aim, dB, with the band in words.
func (r *Result) MeanLevel(e *search.Evaluation) (db float64, band string) {
	if r.Request.Aim == Loud {
		return e.Loud, "30 to 80 Hz"
	}
	return e.MeanLow, "20 to 40 Hz"
}

func (r *Result) meanFact(d *Design, s *Spread) Fact {
	db, band := r.MeanLevel(&d.Evaluation)
	f := Fact{Name: "most, " + band, Values: []float64{db}, Unit: "dB", Place: OfTheSound}
	if db == 0 { // no limit is known
		f.Values[0] = math.NaN()
	}
	if s != nil {
		f.Band = [2]float64{s.Mean.Low, s.Mean.High}
	}
	return f
}

// Facts lists the key figures of a ready-made box whose acoustics are known, in the order of print.
func (r *CheckResult) Facts(j *Judged) []Fact {
	all := []Fact{{Name: "air inside, net", Values: []float64{j.NetVolume}, Unit: "m3"}}
	if j.Circuit == nil {
		return all
	}
	sound := soundFacts(j.Kind, j.Figures, nil)
	if j.Kind == BandPass {
		sound = bandFacts(j)
	}
	return append(append(append(all, sound...), driveFacts(j.Evaluation, j.Port != nil, r.Driver.Xmax, j.Fitting)...), radiatorFacts(j.Radiator)...)
}

// voiceAt is where Qtc or the tuning stands among the facts of the sound.
const voiceAt = 2

func soundFacts(kind Kind, f thielesmall.Figures, s *Spread) (all []Fact) {
	if s == nil {
		s = &Spread{}
	}
	add := func(name, unitName string, m search.Marks, words string, v float64) {
		all = append(all, Fact{Name: name, Values: []float64{v}, Unit: unitName, Band: [2]float64{m.Low, m.High}, Words: words, Place: OfTheSound})
	}
	none := search.Marks{}
	add("lowest note, −3 dB", "Hz", s.F3, f.Reason, f.F3)
	add("lowest note, −10 dB", "Hz", none, "", f.F10)
	if kind == Sealed {
		add("Qtc", "", s.Qtc, "", f.Qtc)
		add("box resonance, fc", "Hz", none, "", f.Fc)
		return all
	}
	add("tuning", "Hz", s.Tuning, "", f.Fb)
	add("losses, QL", "", none, "", f.QL)
	return all
}

// driveFacts are what amplifier and driver go through, at the power that both allow.
func driveFacts(e search.Evaluation, isPorted bool, xmax float64, k Fitting) (all []Fact) {
	add := func(name, unitName string, v ...float64) {
		all = append(all, Fact{Name: name, Values: v, Unit: unitName, Place: OfTheSound})
	}
	if x := e.Excursion; x > 0 && xmax > 0 && !math.IsInf(x, 0) {
		add("cone at full power", "mm of", x, xmax)
	}
	if isPorted && e.Speed > 0 {
		add("port air speed", "m/s", e.Speed)
	}
	if z := k.LowestImpedance; z > 0 && !math.IsInf(z, 0) {
		add("load, lowest", "ohm at", z, k.LowestAt)
	}
	return all
}

// Text writes a fact in a system of units, its band in brackets.
func (f Fact) Text(sys unit.System) string {
	for _, v := range f.Values {
		if math.IsNaN(v) || math.Abs(v) > 1e9 {
			if f.Words != "" {
				return "none: " + f.Words
			}
			return "–"
		}
	}
	s, band := "", "%s (%.0f–%.0f)"
	switch v := f.Values[0]; f.Unit {
	case "m":
		s = unit.FormatLength(v, sys)
		if len(f.Values) > 1 {
			s = unit.FormatSize(sys, f.Values...)
		}
	case "m3":
		s = unit.FormatVolume(v, sys)
	case "kg":
		s = unit.FormatMass(v, sys)
	case "g": // of kilograms
		s = fmt.Sprintf("%.0f g", v*1000)
	case "mm of":
		s = fmt.Sprintf("%.1f mm of %.1f", v*1000, f.Values[1]*1000)
	case "ohm at":
		s = fmt.Sprintf("%.2f Ω at %.0f Hz", v, f.Values[1])
	case "":
		s, band = fmt.Sprintf("%.2f", v), "%s (%.2f–%.2f)"
		if v >= 2 { // of losses
			s = fmt.Sprintf("%.3g", v)
		}
	default:
		s = fmt.Sprintf("%.1f %s", v, f.Unit)
		if f.Band[1]-f.Band[0] < 4 {
			band = "%s (%.1f–%.1f)"
		}
	}
	if f.Band[0] < f.Band[1] {
		s = fmt.Sprintf(band, s, f.Band[0], f.Band[1])
	}
	return s
}

// LimitWords are a letter, a short name and a name in full for what limits a greatest level; empty for none.
func LimitWords(c thielesmall.Cause) (letter, short, full string) {
	switch c {
	case thielesmall.Voltage:
		return "v", "amplifier", "the amplifier's voltage"
	case thielesmall.Power:
		return "p", "rated power", "the driver's rated power"
	case thielesmall.Excursion:
		return "x", "excursion", "its excursion"
	case thielesmall.PortSpeed:
		return "a", "port speed", "the port's air speed"
	}
	return "", "", ""
}

// Row is a placing as tables print it: the driver's name, and of a box its kind, net air, f3 and greatest levels, each level with the
// letter of its limit after it; none where there is no box.
func (r *Ranking) Row(p *Placing) (name string, box []string) {
	name = cmp.Or(p.Spec.Name, p.Source)
	if p.Kind == "" {
		return name, nil
	}
	net, _, _ := strings.Cut(unit.FormatVolume(p.NetVolume, r.Request.Units), " ") // the unit is in the head
	box = []string{string(p.Kind), net, "-"}
	if !math.IsNaN(p.F3) {
		box[2] = fmt.Sprintf("%.1f", p.F3)
	}
	for _, m := range p.Maximum {
		level := m.Level
		if !math.IsNaN(m.CabinLevel) {
			level = m.CabinLevel
		}
		letter, _, _ := LimitWords(m.LimitedBy)
		box = append(box, fmt.Sprintf("%.1f %s", level, letter))
	}
	return name, box
}

// At is the greatest level at a frequency, Hz, of those that are worked out, dB, for print; empty where it is not known.
func (j *Judged) At(hz float64) string {
	if level := j.MaxAt(hz); !math.IsNaN(level) {
		return fmt.Sprintf("%.1f", level)
	}
	return ""
}

// Loudest is the greatest level at a frequency, with a cold and with a warm coil, in the vehicle where the job tells of one.
type Loudest struct {
	Frequency, Cold, Warm float64
	InVehicle             bool
}

// Loudest lists the greatest levels of a design at 20, 30 and 50 Hz, read off its curves, where they are stated.
func (r *Result) Loudest(d *Design) []Loudest {
	var all []Loudest
	for _, hz := range []float64{20, 30, 50} {
		best, at := math.Inf(1), -1
		for i := range d.Curves {
			if k := math.Abs(math.Log(d.Curves[i].Frequency / hz)); k < best {
				best, at = k, i
			}
		}
		const near = 0.03
		if at < 0 || best > near || math.IsNaN(d.Curves[at].MaxLevel) {
			continue
		}
		p := &d.Curves[at]
		l := Loudest{Frequency: hz, Cold: p.MaxLevel, Warm: p.MaxWarm}
		if !math.IsNaN(p.CabinLevel) {
			l.InVehicle = true
			l.Cold += p.CabinLevel - p.Level
			l.Warm += p.CabinLevel - p.Level
		}
		all = append(all, l)
	}
	return all
}
