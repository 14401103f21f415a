package export

import (
	"io"
	"math"

	"cubby/internal/design"
	"cubby/internal/impedance"
	"cubby/internal/thielesmall"
)

// DriverEntry is one driver file and what became of it.
type DriverEntry struct {
	File   string
	Sheet  *design.DriverSheet // nil: the file could not be read
	Errors []string            // none: all is well

	Measured *design.MeasuredDriver // nil: nothing was measured
}

type driversDocument struct {
	Version string      `json:"version"`
	Command string      `json:"command"`
	Drivers []driverOut `json:"drivers"`
}

type driverOut struct {
	File       string        `json:"file"`
	Errors     []string      `json:"errors"`
	Air        *air          `json:"air,omitempty"`
	Driver     *driver       `json:"driver,omitempty"`
	Parameters []parameter   `json:"parameters"`
	Findings   []finding     `json:"findings"`
	Vd         *number       `json:"volume_displacement_m3,omitempty"`
	Level1W    *number       `json:"level_1w_db,omitempty"`
	Level283   *number       `json:"level_2_83v_db,omitempty"`
	Coils      []wiredCoils  `json:"coils"`
	Sealed     []sealedBox   `json:"sealed"`
	Vented     []ventedBox   `json:"vented"`
	Loudest    []loudest     `json:"maximum_levels"`
	Missing    []missingData `json:"missing"`
	Measured   *measured     `json:"measured,omitempty"`
}

// measured is what sweeps show, SI.
type measured struct {
	Free   fit           `json:"free_air"`
	Second *fit          `json:"second,omitempty"`
	Values []measuredRow `json:"values"`
	Notes  []string      `json:"notes"`
}

type fit struct {
	Points   int    `json:"points"`
	From     number `json:"from_hz"`
	To       number `json:"to_hz"`
	FitError number `json:"fit_error_pct"`
	Coil     string `json:"coil"`
	Fs       number `json:"fs_hz"`
	Qms      number `json:"qms"`
	Qes      number `json:"qes"`
	Re       number `json:"re_ohm"`
}

type measuredRow struct {
	Name      string  `json:"name"`
	Value     number  `json:"value"` // SI
	Sigma     number  `json:"sigma"` // SI, one standard uncertainty; 0: it follows from the file
	Catalogue *number `json:"catalogue,omitempty"`
	Percent   *number `json:"percent,omitempty"`
}

type parameter struct {
	Name    string   `json:"name"`
	Value   number   `json:"value"` // SI
	Origin  string   `json:"origin"`
	Given   *number  `json:"given,omitempty"`
	Percent number   `json:"percent"`
	From    []string `json:"from"`
}

type wiredCoils struct {
	Connection string `json:"connection"`
	AsData     bool   `json:"as_data"`
	Driver     driver `json:"driver"`
	Level283   number `json:"level_2_83v_db"`
}

type sealedBox struct {
	Qtc    number `json:"qtc"`
	Volume number `json:"net_volume_m3"` // null: no box does
	Fc     number `json:"fc_hz"`
	F3     number `json:"f3_hz"`
	F10    number `json:"f10_hz"`
	Peak   number `json:"peak_db"`
	Remark string `json:"remark,omitempty"`
}

type ventedBox struct {
	Family   string `json:"family"`
	QL       number `json:"ql"`
	Alpha    number `json:"alpha"`
	H        number `json:"h"`
	Volume   number `json:"net_volume_m3"`
	Fb       number `json:"tuning_hz"`
	Corner   number `json:"f3_without_inductance_hz"`
	F3       number `json:"f3_hz"`
	F10      number `json:"f10_hz"`
	Peak     number `json:"peak_db"`
	Ripple   number `json:"ripple_db"`
	PortArea number `json:"least_port_area_m2"`
}

type loudest struct {
	Frequency number `json:"frequency_hz"`
	Excursion number `json:"by_excursion_db"`
	Power     number `json:"by_power_db"`
}

type missingData struct {
	What     string   `json:"what"`
	Commands []string `json:"commands"`
	Effect   string   `json:"effect"`
}

// DriversJSON writes the drivers as one object followed by a newline. Head's Job is not used: there are several.
func DriversJSON(w io.Writer, all []DriverEntry, h Head) error {
	d := driversDocument{Version: h.Version, Command: h.Command, Drivers: []driverOut{}}
	for _, e := range all {
		d.Drivers = append(d.Drivers, newDriverOut(e))
	}
	return encode(w, d)
}

func newDriverOut(e DriverEntry) driverOut {
	out := driverOut{
		File: e.File, Errors: texts(e.Errors), Parameters: []parameter{}, Findings: []finding{}, Coils: []wiredCoils{},
		Sealed: []sealedBox{}, Vented: []ventedBox{}, Loudest: []loudest{}, Missing: []missingData{},
	}
	if e.Measured != nil {
		out.Measured = newMeasured(e.Measured)
	}
	s := e.Sheet
	if s == nil {
		return out
	}
	out.Findings = newFindings(s.Findings)
	for _, g := range s.Missing {
		out.Missing = append(out.Missing, missingData{g.What, texts(g.Commands), g.Effect})
	}
	if len(s.Parameters) == 0 {
		return out
	}
	a, d := newAir(s.Air), newDriver(s.Driver, s.Air)
	out.Air, out.Driver = &a, &d
	out.Level1W = value(s.LevelAtOneWatt())
	out.Level283 = value(design.LevelAt283(s.Driver, s.Air))
	if vd := s.Driver.VolumeDisplacement(); vd > 0 {
		out.Vd = value(vd)
	}
	for _, p := range s.Parameters {
		out.Parameters = append(out.Parameters, newParameter(p))
	}
	for _, c := range s.Coils {
		out.Coils = append(out.Coils, wiredCoils{c.Connection.String(), c.AsData, newDriver(c.Driver, s.Air), number(design.LevelAt283(c.Driver, s.Air))})
	}
	out.addBoxes(s)
	return out
}

func newMeasured(m *design.MeasuredDriver) *measured {
	out := &measured{Free: newFit(m.Free), Values: []measuredRow{}, Notes: texts(m.Notes)}
	if m.Second != nil {
		f := newFit(*m.Second)
		out.Second = &f
	}
	for _, r := range m.Rows {
		row := measuredRow{Name: r.Name, Value: number(r.Measured.Value), Sigma: number(r.Measured.Sigma)}
		if r.Catalogue > 0 {
			row.Catalogue, row.Percent = value(r.Catalogue), value(r.Percent())
		}
		out.Values = append(out.Values, row)
	}
	return out
}

func newFit(f impedance.FreeAir) fit {
	return fit{
		f.Points, number(f.Low), number(f.High), number(f.FitError), f.Coil.String(),
		number(f.Fs.Value), number(f.Qms.Value), number(f.Qes.Value), number(f.Re.Value),
	}
}

func newParameter(p thielesmall.Parameter) parameter {
	out := parameter{Name: p.Name, Value: number(p.Value), Origin: p.Origin.String(), Percent: number(p.Percent()), From: texts(p.From)}
	if p.Given > 0 {
		out.Given = value(p.Given)
	}
	return out
}

func (out *driverOut) addBoxes(s *design.DriverSheet) {
	for _, b := range s.Sealed {
		row := sealedBox{number(b.Qtc), number(b.Volume), number(b.Fc), number(b.F3), number(b.F10), number(b.Peak), b.Remark}
		if b.Volume == 0 {
			row.Volume, row.Fc, row.Peak = none, none, none
		}
		out.Sealed = append(out.Sealed, row)
	}
	for _, b := range s.Vented {
		out.Vented = append(out.Vented, ventedBox{
			b.Family, number(b.QL), number(b.Alpha), number(b.H), number(b.Volume), number(b.Fb), number(b.Corner), number(b.F3),
			number(b.F10), number(b.Peak), number(b.Ripple), number(b.PortArea),
		})
	}
	for _, l := range s.Loudest {
		out.Loudest = append(out.Loudest, loudest{number(l.Frequency), number(l.Excursion), number(l.Power)})
	}
}

// none is null in JSON.
var none = number(math.NaN())
