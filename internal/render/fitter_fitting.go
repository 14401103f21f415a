package render

import (
	"fmt"
	"strings"

	"cubby/internal/design"
	"cubby/internal/thielesmall"
	"cubby/internal/unit"
)

// vehicleCautions are read before anything is fitted. Sources: the load law and seat rule as quoted are those of single countries, so
// no figure is given as a limit; the text defers to the vehicle's maker and to local rules.
var vehicleCautions = [][2]string{
	{"Whose word counts", "The vehicle maker's workshop instructions and body-builder guide come before this sheet, and so do local law and codes. " +
		"Work on airbags, belts, seats, fuel, brakes and high-voltage parts is for people who are trained and, where it is required, licensed for it."},
	{"Airbags and sensors", "Seats may hold side airbags, belt tensioners and occupancy sensors. Put nothing between an occupant and an airbag, nothing over its path, " +
		"and nothing under or against a seat that could disturb a sensor. Yellow connectors are airbag circuits: disconnect the battery, wait as long as the maker says " +
		"(makers state from seconds to minutes) and do not unplug, probe or splice them."},
	{"Seats, belts, anchors", "Do not move or alter a seat, and do not fix anything to belt anchors, seat bolts or child-seat tethers. The seat must still travel and lock, and spare wheel, jack " +
		"and towing points must stay within reach. Check that belts run free when the box is in."},
	{"Restraint in a crash", "The box must stay where it is when the vehicle hits something. Carpet, hook tape or its own weight do not hold it. Bolt it through body metal with large washers or plates, or strap it to the " +
		"maker's tie-down points, with fixings and load that the maker or a competent engineer accepts."},
	{"Before drilling", "Look beneath and behind every hole: fuel and brake lines, tanks, wiring looms, high-voltage cables and airbag harnesses run under floors and behind trim. Drill with a stop, " +
		"deburr, and seal bare metal against rust and water."},
	{"Wiring and fuse", "Fuse the positive lead close to the battery (within 450 mm or 18 in is common practice); the fuse protects the cable, so rate it to the cable. Use grommets wherever a cable " +
		"passes metal, keep it off moving and hot parts, and ground to bare, clean metal near by. Disconnect the battery while working."},
	{"Heat, fumes and air", "Leave the amplifier and any vent of the vehicle or its battery free. Let glue, paint and sealant cure and air the cabin before the vehicle is used."},
	{"Hearing", "A closed cabin reaches levels in the deep bass that a sound meter's A-weighting hides: about 35 dB at 40 Hz. A low reading is no proof of safety. Keep sessions short, and keep " +
		"warning sounds audible on the road."},
}

// Sizes of the labelled lists, mm.
const (
	labelColumn = 36.0
	labelGap    = 1.5
)

// labelled sets bold labels with their texts in a column beside them. A pair is kept on one page unless it is longer than that.
func (f *flow) labelled(rows [][2]string, size float64) {
	body := TextStyle{Size: size}
	for _, k := range rows {
		h := max(paragraphHeight(labelColumn-4, k[0], TextStyle{Size: size, Bold: true}),
			paragraphHeight(f.Area.W-labelColumn, k[1], body))
		f.Need(min(h, f.Area.H))
		s, top := f.sheet, f.Y
		paragraph(f, Pt{f.Area.X, f.Y}, labelColumn-4, k[0], TextStyle{Size: size, Bold: true})
		for _, l := range wrap(k[1], body, f.Area.W-labelColumn) {
			f.Need(lineHeight(size))
			f.Text(Pt{f.Area.X + labelColumn, f.Y + rise(size)}, l, body)
			f.Y += lineHeight(size)
		}
		if f.sheet == s {
			f.Y = max(f.Y, top+h)
		}
		f.Gap(labelGap - 2*(sizeBody-size)/3) // the closer the smaller the type
	}
}

// fittingRows are label and text of everything the fitter sets or should know.
func fittingRows(r *design.Result, d *design.Design) [][2]string {
	var rows [][2]string
	add := func(label, text string) {
		if text != "" {
			rows = append(rows, [2]string{label, sentence(text)})
		}
	}
	k := d.Fitting
	add("Wiring", wiringText(r))
	for _, s := range r.Settings(d) {
		if s.Knob == design.VoltageKnob {
			add("Gain", "With the sine of page 1 at the highest volume that will be used, tone controls flat and the loudspeaker disconnected, turn up to "+
				s.Figure()+" rms at the terminals and no further")
		}
	}
	add("In the vehicle", k.Cabin.Text())
	add("Polarity and handover", handoverText(k))
	add("Power that reaches Xmax", powerText(k))
	add(tuningLabel(d), tuningText(k))
	if k.Sag > 0 {
		add("Cone sag", fmt.Sprintf("The cone lies flat and hangs %s from its rest position by its own weight", newMeasure(r.Request.Units, 0).fine(k.Sag)))
	}
	add("Narrow air gap", k.NarrowGap)
	if k.BoxMode > 0 {
		add("First box mode", fmt.Sprintf("%s, along the longest inside dimension: keep the low-pass well below it", hertz(k.BoxMode)))
	}
	if q := d.Radiator; q != nil {
		add("Passive radiator", upperFirst(q.MassText())+". Washers on a screw through its middle, locked, serve (common practice); its maker's leaflet comes first. "+
			"Keep carpet, foam and luggage off it. When the box has been measured, more mass tunes lower, less tunes higher")
	}
	if d.Port != nil {
		add("Port", "Keep carpet, foam and luggage off the port's mouth by at least one port diameter. Finish the length when the box has been measured: "+portTrim(r, d))
	}
	return rows
}

func placeText(r *design.Result, d *design.Design) string {
	size := d.Size()
	w, dp, h := size[0], size[1], size[2]
	lo, _ := d.Box.Spec.Outside.Bounds()
	sys := systems(r.Request.Units)
	over := "; covering adds to it"
	if c := d.Box.Spec.Wood.Covering; c != nil || d.Box.Removable != nil {
		f := d.Box.Finished()
		over = fmt.Sprintf(", and finished, with covering and gasket where it has them, %s (%s)", unit.FormatSize(sys[0], f[0], f[1], f[2]), unit.FormatSize(sys[1], f[0], f[1], f[2]))
	}
	s := fmt.Sprintf("The box measures %s (%s) outside, bare%s. Its left end stands %s from the left of the space",
		unit.FormatSize(sys[0], w, dp, h), unit.FormatSize(sys[1], w, dp, h), over, unit.FormatBoth(lo.X, r.Request.Units))
	if sp := r.Request.Space; sp != nil && sp.Gap > 0 {
		s += fmt.Sprintf(", with %s of air kept on its other faces", unit.FormatBoth(sp.Gap, r.Request.Units))
	}
	if air := r.Request.Mount.AirInFront; air > 0 {
		s += fmt.Sprintf(". Before the driver's face %s must stay free", unit.FormatBoth(air, r.Request.Units))
	}
	return s
}

// fixingPoints lists where the box is fixed to the vehicle, as the job has it.
func fixingPoints(d *design.Design) string {
	n := 0
	var where []string
	for _, p := range d.Box.Panels {
		here := 0
		for _, h := range p.Holes {
			if h.ToVehicle() {
				here++
			}
		}
		if here > 0 {
			where = append(where, fmt.Sprintf("%d in the %s", here, p.Name))
			n += here
		}
	}
	if n == 0 {
		return "none stated: decide before gluing where inserts or plates go, and put them into the job (fixings). See Restraint in a crash"
	}
	return strings.Join(where, ", ") + ", drilled by the shop before gluing. Whether they hold in a crash is for the vehicle's maker or a competent engineer to say: see Restraint in a crash"
}

// wiringText says how coils and drivers are joined, terminal by terminal; nothing for a single coil.
func wiringText(r *design.Result) string {
	coils, drivers := r.Request.Driver.Coils.Count, max(1, r.Request.Mount.Count)
	w := r.Request.Mount.Wiring
	var parts []string
	if coils > 1 {
		switch w.Coils {
		case thielesmall.Series:
			parts = append(parts, "coils of each driver in series: the minus of one coil to the plus of the next, the two free ends to the driver's lead")
		case thielesmall.Parallel:
			parts = append(parts, "coils of each driver in parallel: all pluses together, all minuses together")
		default:
			parts = append(parts, "coils of each driver as they were joined when its data were taken")
		}
	}
	if drivers > 1 {
		if w.Drivers == thielesmall.Series {
			parts = append(parts, "drivers in series: the minus of one to the plus of the next")
		} else {
			parts = append(parts, "drivers in parallel: all pluses together, all minuses together")
		}
	}
	if len(parts) == 0 {
		return ""
	}
	s := strings.Join(parts, "; ")
	if r.Driver.Re > 0 {
		s += fmt.Sprintf(". Before connecting the amplifier measure the leads: about %s Ω direct current", number(r.Driver.Re, 2))
	}
	return s + ". All cones must move out together when a small battery is touched to the leads, plus to plus"
}

func handoverText(k design.Fitting) string {
	if k.HandoverAt <= 0 {
		return "no low-pass is stated in the job. Try both polarities of this loudspeaker with the front speakers playing, and keep the one with more bass about the handover"
	}
	return fmt.Sprintf("at %s, the low-pass, its level is %s dB against its passband and its phase %s° (free field, filters in): delay and polarity of the front speakers are right when both add there; "+
		"in doubt keep the louder polarity", hertz(k.HandoverAt), number(k.HandoverLevel, 1), number(k.HandoverPhase, 0))
}

func powerText(k design.Fitting) string {
	var parts []string
	for _, p := range k.PowerToXmax {
		parts = append(parts, fmt.Sprintf("%s at %s", watts(p.Power), hertz(p.Frequency)))
	}
	if len(parts) == 0 {
		return ""
	}
	return strings.Join(parts, ", ") + ", into the nominal impedance and without filters"
}

func tuningLabel(d *design.Design) string {
	if d.Kind != design.Sealed {
		return "Tuning in other air"
	}
	return "Resonance in other air"
}

func tuningText(k design.Fitting) string {
	var parts []string
	for _, b := range k.TuningBand {
		if b.Frequency > 0 {
			parts = append(parts, hertz(b.Frequency)+" "+b.Name)
		}
	}
	return strings.Join(parts, ", ")
}

func portTrim(r *design.Result, d *design.Design) string {
	p := d.Port
	if p.MillimetrePerHertz == 0 {
		return "a shorter port tunes higher"
	}
	v := p.MillimetrePerHertz
	if v < 0 {
		v = -v
	}
	return fmt.Sprintf("each %s of length moves the tuning by 1 Hz, shorter tunes higher", unit.FormatLength(v, r.Request.Units))
}
