package design

import (
	"errors"
	"fmt"
	"math"

	"cubby/internal/impedance"
	"cubby/internal/panels"
	"cubby/internal/thielesmall"
	"cubby/internal/word"
)

// DriverSweeps is what was measured of a driver: its impedance in free air and, if there is a second sweep, with a mass
// stuck to the cone or in a sealed test box. Zero is not known, or not done.
type DriverSweeps struct {
	Free, Second impedance.Sweep
	AddedMass    float64 // kg, stuck to the cone in the second sweep
	TestBox      float64 // m3 net, of the box in the second sweep
	Re           float64 // ohm, by an ohmmeter; 0: from the sweep
	Sd           float64 // m2; 0: as the file says
}

// SweepError is a sweep that does not give what it was made for.
type SweepError struct {
	Second bool // the second sweep, not the one in free air
	Err    error
}

// Error gives the reason.
func (e *SweepError) Error() string { return e.Err.Error() }

// Unwrap gives the cause.
func (e *SweepError) Unwrap() error { return e.Err }

// MeasuredDriver is a driver as its sweeps show it, beside what its file says.
type MeasuredDriver struct {
	Free   impedance.FreeAir
	Second *impedance.FreeAir // nil without a second sweep
	Moving *impedance.Moving  // nil without a second sweep
	Rows   []DriverRow
	Spec   thielesmall.Spec // as the file has it, the measured values in place of the catalogue's
	Notes  []string
	Sheet  *DriverSheet // of Spec; nil when a second sweep is needed to complete it
}

// DriverRow is one value, measured and by the file.
type DriverRow struct {
	Name      string          // "fs"
	Measured  impedance.Value // SI; Sigma 0: given, or it follows from what the file gives
	Catalogue float64         // SI, coils wired as in the sweep; 0: the file does not give it
}

// Percent is how far the measured value is from the catalogue's, in per cent; NaN without one.
func (r DriverRow) Percent() float64 {
	if r.Catalogue == 0 {
		return math.NaN()
	}
	return 100 * (r.Measured.Value/r.Catalogue - 1)
}

// Beyond what these say a measurement is remarked on (judgement).
const (
	openRe        = 0.02 // share of Re that a sweep may leave open when the file has one
	warmedRe      = 0.05 // share by which Re may differ between two sweeps of the same coil
	leastMassGain = -0.03
	mostMassGain  = 0.15 // shares of the moving mass that a tight box adds with its air
	usualSpread   = 0.15 // share by which a driver may differ from its data sheet
)

// MeasureDriver fits the sweeps. spec and frame are the driver's file, empty if there is none. The error is a
// *SweepError, or says what the two sweeps together lack.
func MeasureDriver(spec thielesmall.Spec, frame panels.Driver, s DriverSweeps) (*MeasuredDriver, error) {
	m := &MeasuredDriver{}
	if err := m.fit(spec, s); err != nil {
		return nil, err
	}
	m.setSpec(spec)
	catalogue := m.catalogue(spec)
	if s.Sd > 0 {
		m.Spec.Sd, m.Spec.Diameter = s.Sd, 0
	}
	if m.Second != nil {
		area := m.Spec.Area()
		if area == 0 {
			return nil, errors.New("the second sweep needs the cone's area: give --diameter or --sd, or sd in the driver's file")
		}
		if err := m.setMoving(s, area); err != nil {
			return nil, err
		}
	} else {
		m.keepMass(spec, catalogue)
	}
	sheet, err := AboutDriver(m.Spec, frame)
	var missing *thielesmall.MissingError
	switch {
	case err == nil:
		m.Sheet = sheet
	case m.Second == nil && errors.As(err, &missing) && missing.What == thielesmall.WholeDriver:
		m.note("Free air alone does not give vas, bl and the moving mass: make a second sweep, with a mass on the cone or in a test box.")
	default:
		return nil, err
	}
	m.compare(catalogue)
	return m, nil
}

func (m *MeasuredDriver) note(format string, args ...any) {
	m.Notes = append(m.Notes, fmt.Sprintf(format, args...))
}

// fit fits both sweeps. The file's re helps where the sweep leaves it open.
func (m *MeasuredDriver) fit(spec thielesmall.Spec, s DriverSweeps) error {
	options := impedance.FreeAirOptions{Re: s.Re}
	free, err := impedance.FitFreeAir(s.Free, options)
	if open := err != nil || free.Re.Sigma > openRe*free.Re.Value; open && s.Re == 0 && spec.Re > 0 {
		options.Re = spec.Re
		if again, e := impedance.FitFreeAir(s.Free, options); e == nil {
			free, err = again, nil
			m.note("The sweep leaves re open: the file's %s is used.", thielesmall.Amount("re", spec.Re))
		} else {
			options.Re = 0
		}
	}
	if err != nil {
		return &SweepError{false, err}
	}
	m.Free = free
	if s.Second.Len() == 0 {
		return nil
	}
	second, err := impedance.FitFreeAir(s.Second, options)
	if err != nil {
		return &SweepError{true, err}
	}
	m.Second = &second
	if share := second.Re.Value/free.Re.Value - 1; math.Abs(share) > warmedRe {
		m.note("Re differs by %+.1f %% between the sweeps: the coil was warm in one, or its leads or wiring were others. Repeat them.", 100*share)
	}
	return nil
}

// setSpec puts what the sweep in free air shows into the driver's file. What is compared with it there goes: it is the
// catalogue's, of another piece.
func (m *MeasuredDriver) setSpec(spec thielesmall.Spec) {
	f := m.Free
	spec.Fs, spec.Qes, spec.Qms, spec.Re = f.Fs.Value, f.Qes.Value, f.Qms.Value, f.Re.Value
	spec.Qts, spec.Bl, spec.Cms, spec.Rms, spec.Mms, spec.Vas = 0, 0, 0, 0, 0, 0
	spec.Claims = thielesmall.Claims{}
	if f.Coil == impedance.NoCoil {
		m.note("The coil's inductance does not show in the sweep: sweep further up to measure it.")
	} else {
		spec.Le, spec.L2, spec.R2 = f.Le.Value, f.L2.Value, f.R2.Value
	}
	if wired := spec.WiredAs(); wired != thielesmall.Unstated && wired != spec.Coils.DataFor {
		spec.Coils.DataFor = wired
	}
	m.Spec = spec
}

// catalogue is the driver by its file with the coils wired as in the sweep; zero when the file does not suffice.
func (m *MeasuredDriver) catalogue(spec thielesmall.Spec) thielesmall.Driver {
	if spec.Re == 0 && spec.Coils.Re == 0 {
		return thielesmall.Driver{}
	}
	wiring := thielesmall.Wiring{}
	if spec.Coils.Count >= 2 {
		wiring.Coils = m.Spec.WiredAs()
	}
	d, _, _, err := spec.Wire(1, wiring)
	if err != nil {
		m.note("The driver's file is not complete: there is nothing to compare with.")
		return thielesmall.Driver{}
	}
	if d.Impedance > 0 {
		m.Spec.Impedance = d.Impedance
	}
	if m.Free.Coil == impedance.NoCoil {
		m.Spec.Le, m.Spec.L2, m.Spec.R2 = d.Le, d.L2, d.R2
	}
	return d
}

// setMoving completes the driver from the second sweep.
func (m *MeasuredDriver) setMoving(s DriverSweeps, area float64) error {
	var moving impedance.Moving
	var err error
	if s.AddedMass > 0 {
		moving, err = impedance.AddedMass(m.Free, *m.Second, s.AddedMass, area)
		m.note("Vas rests on the cone's diameter as well: an error of 1 %% there is one of 4 %% in vas.")
	} else {
		air, e := thielesmall.Reference().Air()
		if e != nil {
			return e
		}
		moving, err = impedance.TestBox(m.Free, *m.Second, s.TestBox, area, air)
		m.note("The air in the test box is taken to be at 20 C and 101.325 kPa.")
		m.note("The moving mass rests on the cone's diameter as well: an error of 1 %% there is one of 4 %% in mms, cms and rms, and 2 %% in bl.")
		if g := moving.MassShift; err == nil && (g < leastMassGain || g > mostMassGain) {
			m.note("The moving mass seems to change by %+.0f %% in the test box: look for a leak, and for the volume of the driver in it.", 100*g)
		}
	}
	if err != nil {
		return &SweepError{true, err}
	}
	m.Moving = &moving
	m.Spec.Vas, m.Spec.Sd, m.Spec.Diameter = moving.Vas.Value, area, 0
	return nil
}

// keepMass takes the moving mass from the catalogue where no second sweep shows it: suspensions differ from piece to
// piece and with use, masses hardly (common practice).
func (m *MeasuredDriver) keepMass(spec thielesmall.Spec, catalogue thielesmall.Driver) {
	if catalogue.Mms > 0 {
		m.Spec.Mms = catalogue.Mms
		m.note("The moving mass is the catalogue's, vas and bl follow from it; a second sweep would measure it.")
		return
	}
	m.Spec.Mms, m.Spec.Cms, m.Spec.Vas = spec.Mms, spec.Cms, spec.Vas
}

// compare lists the values with what the catalogue says, and remarks on what is beyond the usual spread.
func (m *MeasuredDriver) compare(c thielesmall.Driver) {
	add := func(name string, v impedance.Value, catalogue float64) {
		if v.Value > 0 {
			m.Rows = append(m.Rows, DriverRow{name, v, catalogue})
		}
	}
	var fs, qms, qes, qts, vas float64
	if c.Mms > 0 {
		air, err := thielesmall.Reference().Air()
		if err != nil {
			return
		}
		fs, qms, qes, qts, vas = c.Fs(), c.Qms(), c.Qes(), c.Qts(), c.Vas(air)
	}
	f := m.Free
	add("re", f.Re, c.Re)
	add("fs", f.Fs, fs)
	add("qms", f.Qms, qms)
	add("qes", f.Qes, qes)
	add("qts", f.Qts, qts)
	add("le", f.Le, c.Le)
	add("l2", f.L2, c.L2)
	add("r2", f.R2, c.R2)
	if v := m.Moving; v != nil {
		add("mms", v.Mms, c.Mms)
		add("cms", v.Cms, c.Cms)
		add("rms", v.Rms, c.Rms)
		add("bl", v.Bl, c.Bl)
		add("vas", v.Vas, vas)
	} else if m.Sheet != nil {
		d := m.Sheet.Driver
		add("bl", impedance.Value{Value: d.Bl}, c.Bl)
		add("vas", impedance.Value{Value: d.Vas(m.Sheet.Air)}, vas)
	}
	var far []string
	for _, r := range m.Rows {
		switch r.Name {
		case "re", "fs", "qes", "qts", "mms", "bl", "vas":
			if math.Abs(r.Percent()) > 100*usualSpread {
				far = append(far, fmt.Sprintf("%s %+.0f %%", r.Name, r.Percent()))
			}
		}
	}
	if len(far) > 0 {
		m.note("Beyond the usual spread of %.0f %% from the catalogue: %s. Design with the measured values.", 100*usualSpread, word.List(far))
	}
}
