package export

import (
	"io"

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

// DriversJSON writes the drivers as one object followed by a newline. Head's Job is not used: there are several.
func DriversJSON(w io.Writer, all []DriverEntry, h Head) error {
	return encode(w, object{{"version", h.Version}, {"command", h.Command}, {"drivers", list(all, entry)}})
}

func entry(e DriverEntry) object {
	s := e.Sheet
	if s == nil {
		s = &design.DriverSheet{}
	}
	out := object{{"file", e.File}, {"errors", e.Errors}, {"measured", sweeps(e.Measured)}, {"findings", list(s.Findings, finding)},
		{"missing", list(s.Missing, func(g design.Gap) object {
			return object{{"what", g.What}, {"commands", g.Commands}, {"effect", g.Effect}}
		})}}
	if len(s.Parameters) == 0 { // the driver cannot be completed
		s = &design.DriverSheet{}
	} else {
		vd := s.Driver.VolumeDisplacement()
		out = append(out, object{{"air", air(s.Air)}, {"driver", driver(s.Driver, s.Air)}, {"volume_displacement_m3", only(vd > 0, vd)},
			{"level_1w_db", s.LevelAtOneWatt()}, {"level_2_83v_db", design.LevelAt283(s.Driver, s.Air)}}...)
	}
	return append(out, object{
		{"parameters", list(s.Parameters, func(p thielesmall.Parameter) object { // values in SI
			return object{{"name", p.Name}, {"value", p.Value}, {"origin", p.Origin.String()}, {"given", only(p.Given > 0, p.Given)}, {"percent", p.Percent()}, {"from", p.From}}
		})},
		{"coils", list(s.Coils, func(c design.WiredCoils) object {
			return object{{"connection", c.Connection.String()}, {"as_data", c.AsData}, {"driver", driver(c.Driver, s.Air)}, {"level_2_83v_db", design.LevelAt283(c.Driver, s.Air)}}
		})},
		{"sealed", list(s.Sealed, sealedBox)}, {"vented", list(s.Vented, ventedBox)},
		{"maximum_levels", list(s.Loudest, func(l thielesmall.Loudest) object {
			return object{{"frequency_hz", l.Frequency}, {"by_excursion_db", l.Excursion}, {"by_power_db", l.Power}}
		})},
	}...)
}

// sweeps is what sweeps of a driver show, SI; a sigma is one standard uncertainty, 0 where the value follows from the
// file.
func sweeps(m *design.MeasuredDriver) object {
	if m == nil {
		return nil
	}
	out := object{{"free_air", fit(m.Free)},
		{"values", list(m.Rows, func(r design.DriverRow) object {
			out := object{{"name", r.Name}, {"value", r.Measured.Value}, {"sigma", r.Measured.Sigma}}
			if r.Catalogue > 0 {
				out = append(out, object{{"catalogue", r.Catalogue}, {"percent", r.Percent()}}...)
			}
			return out
		})},
		{"notes", m.Notes}}
	if m.Second != nil {
		out = append(out, object{{"second", fit(*m.Second)}}...)
	}
	return out
}

func fit(f impedance.FreeAir) object {
	return object{{"points", f.Points}, {"from_hz", f.Low}, {"to_hz", f.High}, {"fit_error_pct", f.FitError}, {"coil", f.Coil.String()},
		{"fs_hz", f.Fs.Value}, {"qms", f.Qms.Value}, {"qes", f.Qes.Value}, {"re_ohm", f.Re.Value}}
}

// sealedBox has null for its volume where no box has that Qtc.
func sealedBox(b thielesmall.SealedBox) object {
	volume, fc, peak := number(b.Volume), number(b.Fc), number(b.Peak)
	if b.Volume == 0 {
		volume, fc, peak = none, none, none
	}
	return object{{"qtc", b.Qtc}, {"net_volume_m3", volume}, {"fc_hz", fc}, {"f3_hz", b.F3}, {"f10_hz", b.F10}, {"peak_db", peak}, {"remark", given(b.Remark)}}
}

func ventedBox(b thielesmall.VentedBox) object {
	return object{{"family", b.Family}, {"ql", b.QL}, {"alpha", b.Alpha}, {"h", b.H}, {"net_volume_m3", b.Volume}, {"tuning_hz", b.Fb},
		{"f3_without_inductance_hz", b.Corner}, {"f3_hz", b.F3}, {"f10_hz", b.F10}, {"peak_db", b.Peak}, {"ripple_db", b.Ripple}, {"least_port_area_m2", b.PortArea}}
}
