package design

import (
	"fmt"
	"math"
	"strings"

	"cubby/internal/panels"
	"cubby/internal/thielesmall"
	"cubby/internal/unit"
)

// amount writes a value of a row in the job's units.
func (h *rig) amount(v float64, of string) string {
	switch {
	case math.IsNaN(v):
		return "none"
	case of == "m3":
		return h.volume(v)
	case of == "m":
		return h.length(v)
	case of == "kg":
		return unit.FormatMass(v, h.req.Units)
	case of == "Hz":
		return fmt.Sprintf("%.1f Hz", v)
	case of == "ohm":
		return fmt.Sprintf("%.2f ohm", v)
	case math.Abs(v) < 10:
		return fmt.Sprintf("%.2f", v)
	}
	return fmt.Sprintf("%.1f", v)
}

// openness writes a standard uncertainty, to one figure; empty when it does not matter.
func (h *rig) openness(v float64, of string) string {
	const least = 0.001 // less than anybody reads
	switch {
	case of == "m3":
		return h.volume(v)
	case of == "m":
		return h.length(v)
	case v < least:
		return ""
	case of == "":
		return fmt.Sprintf("%.1g", v)
	}
	return fmt.Sprintf("%.1g %s", v, of)
}

// signed is amount with its sign; what is written as nothing has none.
func (h *rig) signed(v float64, of string) string {
	text := h.amount(math.Abs(v), of)
	switch {
	case !strings.ContainsAny(text, "123456789"):
		return text
	case v < 0:
		return "-" + text
	}
	return "+" + text
}

// changes lists what is not as designed and what to do about it.
func (h *rig) changes(r *MeasuredResult) []Change {
	var all []Change
	add := func(c *Change) {
		if c != nil {
			all = append(all, *c)
		}
	}
	if off(r, leakRowName) {
		add(h.leakChange(r, rowOf(r, leakRowName)))
	}
	for _, name := range [...]string{volumeRow, rearRow} {
		if off(r, name) {
			add(h.volumeChange(r, rowOf(r, name)))
		}
	}
	if off(r, tuningRow) {
		add(h.tuningChange(r, rowOf(r, tuningRow)))
	}
	if off(r, qtcRow) || off(r, fcRow) {
		add(h.dampingChange(r, rowOf(r, qtcRow), rowOf(r, fcRow)))
	}
	add(h.driverChange(r))
	return all
}

// leakChange says what a leak costs and where to look.
func (h *rig) leakChange(r *MeasuredResult, row MeasuredRow) *Change {
	tight := r.Fit.System
	tight.Box.LeakQ = r.Expected.Figures.QL
	at, name := r.Fit.Tuning.Value, "the tuning"
	if r.Fit.Sealed() {
		at, name = r.Fit.Fc.Value, "fc"
	}
	cost := ""
	a, errA := thielesmall.NewCircuit(tight)
	b, errB := thielesmall.NewCircuit(r.Fit.System)
	if errA == nil && errB == nil {
		if loss := a.Level(at, 1) - b.Level(at, 1); loss >= 0.1 {
			cost = fmt.Sprintf("; it costs %.1f dB at %s", loss, name)
		}
	}
	usual := "a tight sealed box has none"
	if row.Designed > 0 {
		usual = fmt.Sprintf("%.3g is %s", row.Designed, r.Expected.word())
	}
	return &Change{
		What: "leak", Status: row.Status, Amount: r.Fit.QL.Value - row.Designed,
		Text: fmt.Sprintf("The box leaks or absorbs: QL %.1f, where %s%s.", r.Fit.QL.Value, usual, cost),
		ToDo: "Look for it at the driver's gasket and screws, the terminal, the port's flange and the corner joints, with soap water on a low sine; take fibre out of a vented box's port path; seal it and sweep again.",
	}
}

// volumeChange says what the missing or surplus air may be, and what makes up for it.
func (h *rig) volumeChange(r *MeasuredResult, row MeasuredRow) *Change {
	v := math.Abs(row.Difference)
	c := &Change{What: "volume", Status: row.Status, Amount: row.Difference, Unit: "m3"}
	where, word, hints := "box", "more", h.surplus
	if row.Difference < 0 {
		word, hints = "less", h.shortage
	}
	if row.Name == rearRow {
		where, c.What, hints = "chamber behind the driver", "rear volume", func(*MeasuredResult, float64) string { return "" }
	}
	c.Text = fmt.Sprintf("The %s holds %s net, %s (%.1f %%) %s than %s%s.", where, h.volume(row.Measured), h.volume(v), 100*math.Abs(row.Share), word, r.Expected.word(), hints(r, v))
	tuner, size := tunedBy(&r.Fit.System.Box)
	switch {
	case row.Difference > 0:
		c.ToDo = fmt.Sprintf("Fix solid blocks of %s in all to a wall inside.", h.volume(v))
		if off(r, tuningRow) && row.Name == volumeRow {
			c.ToDo += fmt.Sprintf(" Then sweep again: the %s of the %s below is for the air that is there now.", size, tuner)
		}
		c.Target, c.Wanted = v, "block_volume_m3"
	case row.Name == rearRow:
		c.ToDo = "Take out what was not meant to be there, or judge the box again with the air that it has (cubby check)."
	case off(r, tuningRow):
		c.ToDo = fmt.Sprintf("Take out what was not meant to be there, or leave it and set the %s for the air that is left, as below.", tuner)
	case !r.Fit.Sealed():
		var advice string
		advice, c.Wanted, c.Target = h.retuned(r)
		c.ToDo = fmt.Sprintf("It can be left: the tuning is within tolerance. For the exact one, %s.", advice)
	case off(r, qtcRow) || off(r, fcRow):
		c.ToDo = "Take out what was not meant to be there, or leave it and bring Qtc back as below."
	default:
		c.ToDo = "It can be left: Qtc and fc are within tolerance."
	}
	return c
}

// The rows that changes look for.
const (
	leakRowName, volumeRow, tuningRow = "leak, QL", "net air", "tuning"
	rearRow                           = "net air behind"
	qtcRow, fcRow                     = "Qtc", "resonance in the box, fc"
)

// rowOf returns the row of that name; without one it is not checked.
func rowOf(r *MeasuredResult, name string) MeasuredRow {
	for _, row := range r.Rows {
		if row.Name == name {
			return row
		}
	}
	return MeasuredRow{Status: panels.NotChecked}
}

// off reports whether a row is out of its tolerance.
func off(r *MeasuredResult, name string) bool {
	s := rowOf(r, name).Status
	return s == panels.Marginal || s == panels.Fail
}

// matchShare is how close a known volume must come to an unexplained one to be named, a share, beside the fit's own openness.
const matchShare = 0.15

// match names the one or two deductions that take about v together; empty when none do.
func (h *rig) match(r *MeasuredResult, v float64) string {
	best, text := math.Max(matchShare*v, openBy*r.Fit.Volume.Sigma), ""
	try := func(sum float64, name string) {
		if d := math.Abs(sum - v); sum > 0 && d <= best {
			best, text = d, fmt.Sprintf("%s (%s)", name, h.volume(sum))
		}
	}
	t := r.Expected.taken
	for i := range t {
		try(t[i].Volume, t[i].Name)
		for j := i + 1; j < len(t); j++ {
			try(t[i].Volume+t[j].Volume, t[i].Name+" and "+t[j].Name)
		}
	}
	return text
}

// surplus says what may have been left out of a box with too much air.
func (h *rig) surplus(r *MeasuredResult, v float64) string {
	if m := h.match(r, v); m != "" {
		return ", about what is reckoned for " + m + ": left out, or smaller"
	}
	return h.boardHint(r, v, "thinner")
}

// shortage says what may have been forgotten in a box with too little air.
func (h *rig) shortage(r *MeasuredResult, v float64) string {
	text := ""
	switch m := h.match(r, v); {
	case r.Expected.Described && h.req.Boxes[0].NetVolume > 0 && m != "":
		text = ", about what is reckoned for " + m + ": the stated air may be that of the empty box"
	case r.Expected.Described && h.req.Boxes[0].NetVolume > 0:
		text = ": the stated air may be more than the box has"
	case m != "":
		text = ": a brace or filler that was not reckoned, about as much again as is reckoned for " + m
	case h.req.Frame.Displacement == 0:
		text = ": the job states no displacement of the driver, which takes its part; or a brace or filler that was not reckoned"
	default:
		text = ": a brace or filler that was not reckoned"
	}
	return text + h.boardHint(r, v, "thicker")
}

// boardHint says by how much other a board would explain v, when a board could be.
func (h *rig) boardHint(r *MeasuredResult, v float64, word string) string {
	const most = 0.0025 // m; boards differ from their nominal thickness by no more
	if r.Expected.surface == 0 {
		return ""
	}
	if t := v / r.Expected.surface; t <= most {
		return fmt.Sprintf("; a board %s %s would do the same", thickness(t), word)
	}
	return ""
}

// thickness is a small length, always with millimetres to a tenth.
func thickness(m float64) string { return unit.Millimetres(m, 1) + " mm" }

// tunedBy names what tunes a box, and what of it is changed for another tuning.
func tunedBy(b *thielesmall.Box) (tuner, size string) {
	if b.Passive.Count > 0 {
		return "radiator", "mass"
	}
	return "port", "length"
}

// retuned is how the box, as it is, gets the designed tuning in the air that is there: the length of its ports, m, or what its
// radiators have to move, kg.
func (h *rig) retuned(r *MeasuredResult) (advice, wanted string, target float64) {
	b, ratio := &r.Fit.System.Box, r.Fit.Tuning.Value/r.Expected.Figures.Fb
	if b.Passive.Count > 0 {
		target = b.Passive.Mms * ratio * ratio
		return h.massAdvice(r, target), "radiator_mass_kg", target
	}
	ends := b.Ports[0].Ends[0] + b.Ports[0].Ends[1]
	target = (b.Ports[0].Length+ends)*ratio*ratio - ends
	return h.portAdvice(r, target), "port_length_m", target
}

// massAdvice says how to get there from the radiators that are in the box.
func (h *rig) massAdvice(r *MeasuredResult, want float64) string {
	q, is := r.Expected.Radiator, r.Fit.System.Box.Passive.Mms
	what, tune := "the radiator", fmt.Sprintf("%.1f Hz", r.Expected.Figures.Fb)
	if q.Count > 1 {
		what = "each radiator"
	}
	mass := func(kg float64) string { return h.amount(kg, "kg") }
	moves := fmt.Sprintf("%s (it moves %s, and should move %s) for %s", what, mass(is), mass(want), tune)
	switch change := want - is; {
	case math.Abs(change) < massStep/2:
		return fmt.Sprintf("the radiator is right for %s", tune)
	case change < 0 && -change > q.Added:
		return fmt.Sprintf("take %s off %s; no more than the %s that were added to it can come off", mass(-change), moves, mass(q.Added))
	case change < 0:
		return fmt.Sprintf("take %s off %s", mass(-change), moves)
	case q.Added+change > q.MostAdded:
		return fmt.Sprintf("add %s to %s; its maker allows %s in all", mass(change), moves, mass(q.MostAdded))
	default:
		return fmt.Sprintf("add %s to %s", mass(change), moves)
	}
}

// portAdvice says how to get there from the port that is in the box.
func (h *rig) portAdvice(r *MeasuredResult, want float64) string {
	is := r.Fit.System.Box.Ports[0].Length
	tune := fmt.Sprintf("%.1f Hz", r.Expected.Figures.Fb)
	each := ""
	if len(r.Fit.System.Box.Ports) > 1 {
		each = "each "
	}
	switch change := want - is; {
	case want <= 0:
		return fmt.Sprintf("no port of this section is short enough for %s in this air: it needs a larger one", tune)
	case math.Abs(change) < 0.001:
		return fmt.Sprintf("the port is right for %s", tune)
	case change > 0:
		text := fmt.Sprintf("lengthen %sthe port by %s (it acts as %s long, and should be %s) for %s", each, h.length(change), h.length(is), h.length(want), tune)
		if free := r.Expected.freeEnd; free > 0 && r.Expected.Port != nil && change > free-r.Expected.Port.mouth() {
			text += fmt.Sprintf("; only %s are free before its inner mouth, so it must turn or grow outward", h.length(free))
		}
		return text
	default:
		return fmt.Sprintf("cut %s off %sthe port (it acts as %s long, and should be %s) for %s", h.length(-change), each, h.length(is), h.length(want), tune)
	}
}

// mouth is the free length that a port's mouth needs: its bore, or a slot's height.
func (p *PortDesign) mouth() float64 {
	if p.Bore > 0 {
		return p.Bore
	}
	return p.Height
}

// asDrawn is how near a port's length must be to be called as drawn: what a saw and a tape do, m.
const asDrawn = 0.002

// tuningChange says how much of a wrong tuning is the port's or the radiator's and how much the air's, and what mends it.
func (h *rig) tuningChange(r *MeasuredResult, row MeasuredRow) *Change {
	e, f := &r.Expected, &r.Fit
	word := "above"
	if row.Difference < 0 {
		word = "below"
	}
	was, is := e.Circuit.System.Box, &f.System.Box
	tuner, right, less, more := "port acts", "as long as it should be", "shorter", "longer"
	by, least, of := 0.0, asDrawn, "m"
	if is.Passive.Count > 0 {
		tuner, right, less, more = "radiator moves", "what it should", "less", "more"
		by, least, of = is.Passive.Mms-was.Passive.Mms, massStep, "kg"
	} else {
		by = is.Ports[0].Length - was.Ports[0].Length
	}
	was.Volume = is.Volume
	byAir := was.Tuning(h.air) - e.Figures.Fb
	text := fmt.Sprintf("The tuning is %.1f Hz, %.1f Hz %s what was %s: the %s ", row.Measured, math.Abs(row.Difference), word, e.word(), tuner)
	switch {
	case by < -least:
		text += fmt.Sprintf("%s %s (%+.1f Hz)", h.amount(-by, of), less, row.Difference-byAir)
	case by > least:
		text += fmt.Sprintf("%s %s (%+.1f Hz)", h.amount(by, of), more, row.Difference-byAir)
	default:
		text += right
	}
	if math.Abs(byAir) >= 0.05 {
		text += fmt.Sprintf(", the air makes %+.1f Hz", byAir)
	}
	c := &Change{What: "tuning", Status: row.Status, Amount: row.Difference, Unit: "Hz", Text: text + "."}
	c.ToDo, c.Wanted, c.Target = h.retuned(r)
	c.ToDo = upper(c.ToDo) + "."
	return c
}

// dampingChange says what brings a sealed box's Qtc and fc back.
func (h *rig) dampingChange(r *MeasuredResult, qtc, fc MeasuredRow) *Change {
	c := &Change{What: "damping", Status: qtc.Status, Amount: qtc.Difference}
	if c.Status == panels.Pass {
		c.Status = fc.Status
	}
	c.Text = fmt.Sprintf("Qtc is %.2f where %.2f is %s, fc %.1f Hz where %.1f Hz is.", qtc.Measured, qtc.Designed, r.Expected.word(), fc.Measured, fc.Designed)
	if qtc.Difference > 0 {
		c.ToDo = upper(h.fillingFor(r, c))
		return c
	}
	if v := r.Fit.Volume.Value - r.Expected.NetVolume; v > 0 && r.Fit.QL.Value == 0 {
		c.ToDo = fmt.Sprintf("Take out fibre that was not planned, or fix solid blocks of %s to a wall inside.", h.volume(v))
		c.Target, c.Wanted = v, "block_volume_m3"
		return c
	}
	c.ToDo = "Seal the leak first and sweep again; take out fibre that was not planned."
	return c
}

// fillingFor says how much fibre brings a tight box of this volume to the designed Qtc, or that none does.
func (h *rig) fillingFor(r *MeasuredResult, c *Change) string {
	want := r.Expected.Figures.Qtc
	s := r.Fit.System
	s.Box.LeakQ = r.Expected.Figures.QL
	qtc := func(share float64) float64 { return filledQtc(s, share) }
	tight := ""
	if off(r, leakRowName) {
		tight = "once it is tight, "
	}
	if full := qtc(1); !(full <= want) {
		return tight + fmt.Sprintf("even filling all of it with fibre, %.0f kg/m3, brings Qtc only to %.2f, not to %.2f (a model).", fillDensity, full, want)
	}
	share := fillingTo(want, 1, qtc)
	if share < 0.02 {
		return tight + "leave it: Qtc is what it should be."
	}
	c.Target, c.Wanted = share, "filling_fraction"
	return tight + fmt.Sprintf("fill %.0f %% of it with fibre, %.0f kg/m3 (%s): Qtc %.2f as %s (a model).",
		100*share, fillDensity, unit.FormatMass(share*fillDensity*r.Fit.Volume.Value, h.req.Units), want, r.Expected.word())
}

// driverChange says by how much a fitted driver differs from its data.
func (h *rig) driverChange(r *MeasuredResult) *Change {
	f := &r.Fit
	if !f.DriverToo {
		return nil
	}
	const much = 0.10 // share, the usual spread of data sheets (common practice)
	worst := 0.0
	for _, k := range [][2]float64{{f.Fs.Value, r.Driver.Fs()}, {f.Qes.Value, r.Driver.Qes()}} {
		if d := k[0]/k[1] - 1; math.Abs(d) > math.Abs(worst) {
			worst = d
		}
	}
	if math.Abs(worst) <= much {
		return nil
	}
	return &Change{
		What: "driver", Status: panels.Marginal, Amount: worst,
		Text: fmt.Sprintf("The driver differs from its data by %.0f %%: fs %.1f Hz (stated %.1f), Qes %.2f (%.2f), Qms %.1f (%.1f).",
			100*math.Abs(worst), f.Fs.Value, r.Driver.Fs(), f.Qes.Value, r.Driver.Qes(), f.Qms.Value, r.Driver.Qms()),
		ToDo: "Run it in and sweep again; if it stays so, design again with these values.",
	}
}

// upper starts a text with a capital.
func upper(s string) string {
	if s == "" || s[0] < 'a' || s[0] > 'z' {
		return s
	}
	return string(s[0]-'a'+'A') + s[1:]
}
