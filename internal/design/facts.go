package design

import (
	"fmt"
	"math"
	"strings"

	"cubby/internal/unit"
)

// A Fact is one figure of a design that reports print: wherever it is printed it is printed from here.
type Fact struct {
	What   Figure
	Name   string
	Values []float64  // SI; several are a size, or a figure at several frequencies
	Unit   string     // of Values, as in Check: "m" "m3" "kg" "g" (kg all the same) "Hz" "dB" "ohm" "" ...
	Band   [2]float64 // 10 and 90 % marks over the tolerances, in the same unit; both 0: none
	Words  string     // what the figure needs beside it; may be empty
	Place  Part
}

// Part is the side of a design of which a fact tells.
type Part int8

// The parts.
const (
	OfTheBox   Part = iota // size and weight, printed in both systems of units
	OfTheSound             // sound and electrics
)

// Figure names what a fact is of.
type Figure int8

// The figures, in the order in which they are printed.
const (
	OutsideWidth Figure = iota
	OutsideDepth
	OutsideHeight
	NetAir
	Weight
	DriverOpening
	PortSize
	FromLeft
	LowestNote   // f3
	LowestNote10 // f10
	QtcFigure
	Resonance
	TuningFigure
	ConeTravel
	RadiatorTravel
	RadiatorMass
	PortSpeedFigure
	LeastLoad
)

// loudFacts are where the greatest level is told, Hz.
var loudFacts = []float64{20, 30, 50}

// Facts lists the key figures of a design, in the order of print.
func (r *Result) Facts(d *Design) []Fact {
	return append(r.boxFacts(d), r.soundFacts(d)...)
}

func (r *Result) boxFacts(d *Design) []Fact {
	size := d.Size()
	one := func(w Figure, name string, v float64, unitName string) Fact {
		return Fact{What: w, Name: name, Values: []float64{v}, Unit: unitName}
	}
	all := []Fact{
		one(OutsideWidth, "outside, wide", size[0], "m"), one(OutsideDepth, "outside, deep", size[1], "m"), one(OutsideHeight, "outside, high", size[2], "m"),
		one(NetAir, "air inside, net", d.Box.NetVolume, "m3"), one(Weight, "weight, with driver", d.Mass, "kg"),
		one(DriverOpening, "driver opening, across", d.Box.Drivers.Opening, "m"),
	}
	if p := d.Port; p != nil {
		f := Fact{What: PortSize, Name: "port, bore × length", Values: []float64{p.Bore, p.Length}, Unit: "m"}
		if p.Bore == 0 {
			f.Name, f.Values = "port, high × wide × long", []float64{p.Height, p.Width, p.Length}
		}
		if p.Count > 1 {
			f.Name = fmt.Sprintf("%d ports, each %s", p.Count, strings.TrimPrefix(f.Name, "port, "))
		}
		all = append(all, f)
	}
	lo, _ := d.Box.Spec.Outside.Bounds()
	return append(all, one(FromLeft, "from the left of the space", lo.X, "m"))
}

func (r *Result) soundFacts(d *Design) []Fact {
	var all []Fact
	add := func(w Figure, name, unitName string, band [2]float64, words string, v ...float64) {
		all = append(all, Fact{What: w, Name: name, Values: v, Unit: unitName, Band: band, Words: words, Place: OfTheSound})
	}
	var f3, qtc, tuning [2]float64
	if s := r.Spread; s != nil && d.Rank == 1 {
		f3, qtc, tuning = [2]float64{s.F3.Low, s.F3.High}, [2]float64{s.Qtc.Low, s.Qtc.High}, [2]float64{s.Tuning.Low, s.Tuning.High}
	}
	add(LowestNote, "lowest note, no cabin, −3 dB", "Hz", f3, d.Figures.Reason, d.Figures.F3)
	add(LowestNote10, "lowest note, no cabin, −10 dB", "Hz", [2]float64{}, "", d.Figures.F10)
	if d.Kind == Sealed {
		add(Resonance, "resonance in the box", "Hz", [2]float64{}, "", d.Figures.Fc)
		add(QtcFigure, "Qtc", "", qtc, "", d.Figures.Qtc)
	} else {
		add(TuningFigure, "tuning", "Hz", tuning, "", d.Figures.Fb)
	}
	if x := d.Evaluation.Excursion; x > 0 && r.Driver.Xmax > 0 && !math.IsInf(x, 0) {
		add(ConeTravel, "cone travel, full power", "mm of", [2]float64{}, "", x, r.Driver.Xmax)
	}
	if q := d.Radiator; q != nil {
		if q.Travel > 0 && q.Xmax > 0 {
			add(RadiatorTravel, "radiator travel, full power", "mm of", [2]float64{}, "", q.Travel, q.Xmax)
		}
		add(RadiatorMass, "mass added to each radiator", "g", [2]float64{}, "", q.Added)
	}
	if d.Port != nil && d.Evaluation.Speed > 0 {
		add(PortSpeedFigure, "port air, full power", "m/s", [2]float64{}, "", d.Evaluation.Speed)
	}
	if z := d.Fitting.LowestImpedance; z > 0 && !math.IsInf(z, 0) {
		add(LeastLoad, "load, lowest", "ohm at", [2]float64{}, "", z, d.Fitting.LowestAt)
	}
	return all
}

// Text writes a fact in a system of units, its band in brackets.
func (f Fact) Text(sys unit.System) string {
	if len(f.Values) == 0 {
		return "–"
	}
	for _, v := range f.Values {
		if math.IsNaN(v) || math.Abs(v) > 1e9 {
			if f.Words != "" {
				return "none: " + f.Words
			}
			return "–"
		}
	}
	s := ""
	switch v := f.Values[0]; f.Unit {
	case "m":
		s = lengths(f.Values, sys)
	case "m3":
		s = unit.FormatVolume(v, sys)
	case "kg":
		s = unit.FormatMass(v, sys)
	case "g":
		s = fmt.Sprintf("%.0f g", v*1000)
	case "Hz":
		s = fmt.Sprintf("%.1f Hz", v)
	case "dB":
		s = fmt.Sprintf("%.0f dB", v)
	case "m/s":
		s = fmt.Sprintf("%.1f m/s", v)
	case "mm of":
		s = fmt.Sprintf("%.1f mm of %.1f", v*1000, f.Values[1]*1000)
	case "ohm at":
		s = fmt.Sprintf("%.2f Ω at %.0f Hz", v, f.Values[1])
	case "":
		s = fmt.Sprintf("%.2f", v)
	}
	if f.Band[0] < f.Band[1] {
		format := "%s (%.0f to %.0f)"
		if f.Unit != "" && f.Band[1]-f.Band[0] < 4 {
			format = "%s (%.1f to %.1f)"
		}
		if f.Unit == "" {
			format = "%s (%.2f to %.2f)"
		}
		s = fmt.Sprintf(format, s, f.Band[0], f.Band[1])
	}
	return s
}

// lengths writes one length, or several as a size.
func lengths(v []float64, sys unit.System) string {
	if len(v) == 1 {
		return unit.FormatLength(v[0], sys)
	}
	return unit.FormatSize(sys, v...)
}

// Loudest is the greatest level at a frequency, with a cold and with a warm coil, in the vehicle where the job tells of one.
type Loudest struct {
	Frequency, Cold, Warm float64
	InVehicle             bool
}

// Loudest lists the greatest levels of a design at 20, 30 and 50 Hz, read off its curves, where they are stated.
func (r *Result) Loudest(d *Design) []Loudest {
	var all []Loudest
	for _, hz := range loudFacts {
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
