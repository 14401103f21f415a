package design

import (
	"context"
	"fmt"
	"math"
	"slices"

	"cubby/internal/grade"
	"cubby/internal/impedance"
	"cubby/internal/panels"
	"cubby/internal/thielesmall"
	"cubby/internal/word"
)

// MeasuredResult is a finished box, as its impedance sweep shows it, against what it should be.
type MeasuredResult struct {
	Basis       // its driver as stated
	Expected    Expected
	Sweep       impedance.Sweep
	Fit         impedance.BoxFit
	Figures     thielesmall.Figures // of the box as measured
	Rows        []MeasuredRow
	Changes     []Change // what to do, most important first; empty: nothing
	Verdict     BuiltVerdict
	VerdictText string
	Curves      []ImpedancePoint
}

// Expected is the box that the sweep is compared with: the best design, or the one box that the job describes.
type Expected struct {
	Sound          // its circuit without filters
	Described bool // the job describes it; otherwise it was designed
	NetVolume float64
	taken     []panels.Deduction // from the inside
	surface   float64            // m2 of the inside; 0 unknown
	freeEnd   float64            // m before the port's inner mouth; 0 unknown
}

// word says what the box should be: as designed, or as described.
func (e *Expected) word() string {
	if e.Described {
		return "described"
	}
	return "designed"
}

// BuiltVerdict sums up how the finished box compares.
type BuiltVerdict string

// The verdicts on a finished box.
const (
	AsDesigned    BuiltVerdict = "as designed"
	NearlyAs      BuiltVerdict = "nearly as designed"
	NotAsDesigned BuiltVerdict = "not as designed"
)

// A MeasuredRow is one figure as designed and as measured. Values are SI in Unit; NaN is none.
type MeasuredRow struct {
	Name               string
	Designed, Measured float64
	Sigma              float64 // standard uncertainty of the measured one; NaN: not stated
	Difference         float64 // measured less designed
	Share              float64 // the same over the designed one
	Near, Far          float64 // as designed up to the one, not at all beyond the other: shares of the designed, or limits
	Unit               string
	Status             panels.Status // NotChecked: for information
	RowText
}

// RowText is a row in the job's units; empty: none.
type RowText struct{ DesignedText, MeasuredText, SigmaText, DifferenceText string }

// A Change is one thing that is not as designed, by how much, and what to do.
type Change struct {
	What   string // "volume" "rear volume" "tuning" "leak" "damping" "driver"
	Status panels.Status
	Amount float64 // measured less designed, SI in Unit
	Unit   string
	Text   string // what is wrong, one sentence
	ToDo   string // one sentence; empty: nothing helps
	Wanted string // what ToDo aims at: "port_length_m" "radiator_mass_kg" "filling_fraction" "block_volume_m3"; empty: no figure
	Target float64
}

// ImpedancePoint is one frequency of the graph of a finished box, ohm. Measured is NaN where the sweep has no point.
type ImpedancePoint struct{ Frequency, Expected, Fitted float64 }

// MeasureOptions say what of the driver is in doubt.
type MeasureOptions = impedance.BoxOptions

// How far a finished box may be from its design. Near figures are those of the form that a design prints; far ones are
// where a listener or an amplifier's high-pass would notice (common practice).
const (
	nearVolume, farVolume = 0.02, 0.10
	nearTuning, farTuning = 0.03, 0.08 // about 1 Hz: port and air are all that decide it
	nearFc, farFc         = 0.05, 0.10 // the driver's own spread goes into it
	nearQtc, farQtc       = 0.10, 0.20
	ventedTight           = 5.0 // QL, at least; Small's range for sound boxes is 5 to 20
	ventedLeaky           = 3.5 // QL, below: a hole to be found
	sealedTight           = 20.0
	sealedLeaky           = 7.0
	openBy                = 2.0 // standard uncertainties that the fit leaves open
)

// Measure fits the finished box to its sweep and compares it with the job's best design, or with the one box that the
// job describes. The error is for a job that gives nothing to compare with, and for a sweep that cannot decide: an
// *impedance.UndecidedError.
func Measure(ctx context.Context, req Request, sweep impedance.Sweep, o MeasureOptions) (*MeasuredResult, error) {
	h, err := newRig(&req)
	if err != nil {
		return nil, err
	}
	if a := req.Amplifier; a != nil { // filters do not act on impedance
		h.assumptions = slices.DeleteFunc(h.assumptions, func(s string) bool { return slices.Contains(a.Assumed, s) })
	}
	all, err := h.expect(ctx, req)
	if err != nil {
		return nil, err
	}
	res, built, err := h.against(all[0], sweep, o)
	if err != nil {
		return nil, h.orOther(err, all[1:], sweep, o)
	}
	h.measuredAssumptions(res)
	res.Changes = h.changes(res)
	res.VerdictText += h.nearer(res, all[1:], o)
	res.Curves = impedanceCurves(sweep, res.Expected.Circuit, built)
	res.Basis = h.basis()
	return res, nil
}

// against fits the sweep to a box that it should be of and compares figure by figure.
func (h *rig) against(e Expected, sweep impedance.Sweep, o MeasureOptions) (*MeasuredResult, *thielesmall.Circuit, error) {
	res := &MeasuredResult{Basis: h.basis(), Sweep: sweep, Expected: e}
	var err error
	if res.Fit, err = impedance.FitBox(sweep, e.Circuit.System, o); err != nil {
		return nil, nil, err
	}
	built, err := thielesmall.NewCircuit(res.Fit.System)
	if err != nil {
		return nil, nil, err
	}
	res.Figures = built.Figures(h.drive)
	res.Rows = h.measuredRows(res)
	res.Verdict, res.VerdictText = h.builtVerdict(res)
	return res, built, nil
}

// expect finds the boxes that the sweep may be of: the one that the job describes, or the designs, best first.
func (h *rig) expect(ctx context.Context, req Request) ([]Expected, error) {
	if len(req.Boxes) > 0 {
		e, err := h.expectDescribed(req)
		return []Expected{e}, err
	}
	r, err := Run(ctx, req)
	if err != nil {
		return nil, err
	}
	if len(r.Designs) == 0 {
		return nil, &ConfigError{Field: "cavity", Want: "no box suits it, so there is none to compare with: describe the box that was built under box:"}
	}
	var all []Expected
	for i := range r.Designs {
		all = append(all, expectDesign(&r.Designs[i]))
	}
	return all, nil
}

// expectDesign is a design as its sweep should show it.
func expectDesign(d *Design) Expected {
	e := Expected{Sound: d.Sound, NetVolume: d.Box.NetVolume, taken: d.Box.Deductions, surface: 2 * d.Box.Inside.Area()}
	e.Circuit = e.Circuit.Without()
	for i := range d.Box.Inside {
		a, b := d.Box.Inside.Edge(i)
		e.surface += math.Hypot(b.X-a.X, b.Y-a.Y) * d.Box.InsideWidth
	}
	for _, s := range d.Box.Ports {
		e.freeEnd = s.FreeEnd
	}
	return e
}

func (h *rig) expectDescribed(req Request) (Expected, error) {
	if len(req.Boxes) > 1 {
		return Expected{}, &ConfigError{Field: "box", Want: fmt.Sprintf("describes %d boxes: leave only the one that was measured", len(req.Boxes))}
	}
	if h.req.Mount.Face == "" {
		h.req.Mount.Face = "front"
	}
	b := req.Boxes[0]
	j := h.judgeReady(b)
	if j.Circuit == nil {
		why := j.VerdictText
		for _, c := range j.Checks {
			if c.Status == panels.Fail {
				why = c.Note
			}
		}
		return Expected{}, &ConfigError{Field: "box", Want: why}
	}
	e := Expected{Sound: j.Sound, Described: true, NetVolume: j.NetVolume}
	e.Circuit = e.Circuit.Without()
	if v := float64(max(1, req.Mount.Count)) * req.Frame.Displacement; v > 0 {
		e.taken = append(e.taken, panels.Deduction{Name: "driver", Volume: v})
	}
	if b.Section != nil && b.Wall > 0 && b.Rear == 0 { // else what is inside belongs to two chambers
		if v := b.Port.taken(b.Wall); v > 0 {
			e.taken = append(e.taken, panels.Deduction{Name: "port", Volume: v})
		}
		s := b.Section.Bounds()
		w, d, t := b.Width-2*b.Wall, s.Width()-2*b.Wall, s.Height()-2*b.Wall
		e.surface = 2 * (w*d + d*t + t*w)
	}
	return e, nil
}

func (h *rig) measuredAssumptions(r *MeasuredResult) {
	f := &r.Fit
	if f.DriverToo {
		h.assume("the driver was fitted too, held near its data by their usual spread; the volume is as uncertain as Vas, which a sweep of a box does not show")
	} else {
		h.assume("motor and suspension of the driver are as stated, and an error of its Vas goes into the volume in full; --driver-too fits them as well")
	}
	if f.Coil != impedance.NoCoil {
		h.assume("the coil's %s was taken from the sweep", map[impedance.Coil]string{impedance.Inductance: "inductance", impedance.InductanceAndPair: "inductance with its second pair"}[f.Coil])
	}
	if f.System.Box.Passive.Count > 0 {
		h.assume("suspension and loss of the radiator are as stated: its mass alone follows the tuning")
	}
	if r.Sweep.Phase == nil {
		h.assume("the sweep has no phase: the fit is to the magnitude alone")
	}
}

// measuredRows compares figure by figure.
func (h *rig) measuredRows(r *MeasuredResult) []MeasuredRow {
	e, f := &r.Expected, &r.Fit
	var rows []MeasuredRow
	if f.Sealed() {
		rows = append(rows,
			h.compared(fcRow, "Hz", e.Figures.Fc, f.Fc, nearFc, farFc),
			h.compared(qtcRow, "", e.Figures.Qtc, f.Qtc, nearQtc, farQtc))
	} else {
		rows = append(rows, h.compared(tuningRow, "Hz", e.Figures.Fb, f.Tuning, nearTuning, farTuning))
	}
	was, is := e.Circuit.System.Box, f.System.Box
	rows = append(rows, h.compared(volumeRow, "m3", e.NetVolume, f.Volume, nearVolume, farVolume))
	if is.Rear > 0 {
		rows = append(rows, h.compared(rearRow, "m3", was.Rear, f.Rear, nearVolume, farVolume))
	}
	if is.Passive.Count > 0 {
		rows = append(rows, h.informed("radiator moves", "kg", was.Passive.Mms, is.Passive.Mms, math.NaN()))
	} else if !f.Sealed() {
		rows = append(rows, h.informed("port acts as long as", "m", was.Ports[0].Length, is.Ports[0].Length, math.NaN()))
	}
	rows = append(rows, h.leakRow(e.Figures.QL, f.QL, f.Sealed()), h.informed("Vas over net air, alpha", "", e.Figures.Alpha, f.Alpha.Value, f.Alpha.Sigma))
	if is.Rear == 0 { // a band-pass lies over its driver's reference
		rows = append(rows, h.informed("f3", "Hz", e.Figures.F3, r.Figures.F3, math.NaN()))
	}
	rows = append(rows, h.informed("coil resistance, Re", "ohm", r.Driver.Re, f.Re.Value, f.Re.Sigma))
	if f.DriverToo {
		rows = append(rows,
			h.informed("driver's fs", "Hz", r.Driver.Fs(), f.Fs.Value, f.Fs.Sigma),
			h.informed("driver's Qes", "", r.Driver.Qes(), f.Qes.Value, f.Qes.Sigma),
			h.informed("driver's Qms", "", r.Driver.Qms(), f.Qms.Value, f.Qms.Sigma),
			h.informed("driver's Vas", "m3", r.Driver.Vas(r.Air), f.Vas.Value, f.Vas.Sigma))
	}
	return rows
}

// informed is a row that is not graded.
func (h *rig) informed(name, unit string, designed, measured, sigma float64) MeasuredRow {
	r := MeasuredRow{
		Name: name, Unit: unit, Designed: designed, Measured: measured, Sigma: sigma,
		Difference: measured - designed, Share: measured/designed - 1, Status: panels.NotChecked,
	}
	r.DesignedText, r.MeasuredText = h.amount(designed, unit), h.amount(measured, unit)
	if r.Sigma > 0 {
		r.SigmaText = h.openness(r.Sigma, unit)
	}
	if !math.IsNaN(r.Difference) {
		r.DifferenceText = h.signed(r.Difference, unit)
		if unit != "" && math.Abs(r.Share) >= 0.0005 && !math.IsInf(r.Share, 0) {
			r.DifferenceText += fmt.Sprintf(" (%+.1f %%)", 100*r.Share)
		}
	}
	return r
}

// compared is a row graded by its share of the designed value; what the fit leaves open counts for the box.
func (h *rig) compared(name, unit string, designed float64, v impedance.Value, near, far float64) MeasuredRow {
	r := h.informed(name, unit, designed, v.Value, v.Sigma)
	r.Near, r.Far = near, far
	sure := math.Max(0, math.Abs(r.Difference)-openBy*v.Sigma) / designed
	r.Status = grade.NoMore(sure, near, far)
	return r
}

// leakRow grades QL, of which more is better; 0 is no leak at all.
func (h *rig) leakRow(designed float64, v impedance.Value, sealed bool) MeasuredRow {
	r := h.informed(leakRowName, "", designed, v.Value, v.Sigma)
	r.Near, r.Far = ventedTight, ventedLeaky
	if sealed {
		r.Near, r.Far = sealedTight, sealedLeaky
	}
	if designed > 0 {
		r.Near, r.Far = math.Min(r.Near, designed), math.Min(r.Far, designed)
	}
	none := func(q float64, text string) string {
		if q == 0 {
			return "none"
		}
		return text
	}
	r.DesignedText, r.MeasuredText = none(designed, r.DesignedText), none(v.Value, r.MeasuredText)
	if v.Value == 0 {
		r.SigmaText = ""
	}
	if designed == 0 || v.Value == 0 {
		r.Difference, r.Share, r.DifferenceText = math.NaN(), math.NaN(), ""
	}
	r.Status = panels.Pass
	if v.Value > 0 {
		r.Status = grade.NoLess(v.Value+openBy*v.Sigma, r.Near, r.Far)
	}
	return r
}

// builtVerdict sums up the graded rows.
func (h *rig) builtVerdict(r *MeasuredResult) (BuiltVerdict, string) {
	var out, near []string
	for _, row := range r.Rows {
		switch row.Status {
		case panels.Fail:
			out = append(out, row.Name)
		case panels.Marginal:
			near = append(near, row.Name)
		}
	}
	are := func(names []string) string {
		if len(names) == 1 {
			return word.List(names) + " is"
		}
		return word.List(names) + " are"
	}
	word := r.Expected.word()
	switch {
	case len(out) > 0:
		return NotAsDesigned, fmt.Sprintf("The %s box is not as %s: %s out of tolerance.", r.Expected.Kind, word, are(out))
	case len(near) > 0:
		return NearlyAs, fmt.Sprintf("The %s box is nearly as %s: %s a little off.", r.Expected.Kind, word, are(near))
	}
	return AsDesigned, fmt.Sprintf("The %s box is as %s, within tolerance.", r.Expected.Kind, word)
}

// impedanceCurves are the expected and the fitted magnitude over the range of the sweep.
func impedanceCurves(s impedance.Sweep, expected, built *thielesmall.Circuit) []ImpedancePoint {
	const points = 300
	var all []ImpedancePoint
	for _, f := range logGrid(s.Frequency[0], s.Frequency[s.Len()-1], points) {
		a, b := expected.Impedance(f), built.Impedance(f)
		all = append(all, ImpedancePoint{f, math.Hypot(real(a), imag(a)), math.Hypot(real(b), imag(b))})
	}
	return all
}
