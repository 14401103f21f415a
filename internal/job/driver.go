package job

import (
	"maps"
	"math"
	"strings"

	"cubby/internal/panels"
	"cubby/internal/thielesmall"
	"cubby/internal/unit"

	"gopkg.in/yaml.v3"
)

// DriverFile is a driver as its maker states it: what it does, and what it is as a thing of metal.
type DriverFile struct {
	Spec  thielesmall.Spec
	Frame panels.Driver
}

// ParseDriver reads a driver file, or the driver whose values stand in a job. name is what faults call it. All faults
// are returned together as Faults. Values that the file does not give are zero; whether those that it gives suffice is
// for thielesmall.Spec.Complete to say.
func ParseDriver(name string, data []byte) (*DriverFile, error) {
	d, faults := parseDriver(name, data)
	if len(faults) > 0 {
		return nil, faults
	}
	return d, nil
}

func parseDriver(name string, data []byte) (*DriverFile, Faults) {
	root, faults := document(name, data)
	if faults != nil {
		return nil, faults
	}
	r := &reader{file: name}
	d := &DriverFile{}
	if r.vet(root, 0) {
		r.units(root)
		n, path := driverIn(root)
		if n.Kind == yaml.ScalarNode && path != "" {
			r.fault(n, path, "this job's driver stands in a file of its own: give that file")
			return d, r.faults
		}
		m := r.driverBy(r.driverFields(d), n, path, d)
		if r.bare > 0 && m.node != nil && !m.has("units") {
			r.note(root, "units", "missing: line %d has a length without a unit; write the unit there, or units: in or units: mm in this file", r.bare)
		}
	}
	return d, inOrder(r.faults)
}

// driverIn is where the driver stands in a file: under its key in a job, else the whole of it.
func driverIn(root *yaml.Node) (n *yaml.Node, path string) {
	if n := valueOf(root, "driver"); n != nil && !isNull(n) {
		return n, "driver"
	}
	return root, ""
}

// driver reads the job's driver: the name of its file, or its values.
func (j *jobReader) driver(n *yaml.Node, path string) {
	d := &DriverFile{}
	switch {
	case n.Kind == yaml.MappingNode:
		if valueOf(n, "units") != nil {
			j.note(n, join(path, "units"), "belongs at the top of the job, or in a driver file of its own")
		}
		before := len(j.faults)
		if j.driverBy(j.driverFields(d), n, path, d); len(j.faults) == before {
			j.faults = append(j.faults, locate(j.file, n, path, d.suffices())...)
		}
	case j.scalar(n, path, "the name of a driver file, or the driver's values"):
		name, data, ok := j.fileOf(n, path)
		if !ok {
			return
		}
		parsed, faults := parseDriver(name, data)
		j.others = append(j.others, faults...)
		if parsed != nil {
			d = parsed
		}
		if len(faults) == 0 {
			j.others = append(j.others, Locate(name, data, d.suffices())...)
		}
		j.request.DriverFile = name
	}
	j.request.Driver, j.request.Frame = d.Spec, d.Frame
}

// A driverValue is a number of a driver file: its key, its place in a driver, the unit in which it is written, the
// units in which a list may have it as the suffixes of its column, and what it may be.
type driverValue struct {
	key     string
	at      *float64
	of      unit.Dimension
	symbol  string
	columns string
	span    span
}

// driverValues are the numbers of a driver, in the order in which a file has them.
func driverValues(d *DriverFile) []driverValue {
	s, f := &d.Spec, &d.Frame
	size := positive(1.5, "1.5 m (is the unit right?)")
	travel := positive(0.2, "200 mm (is the unit right?)")
	return []driverValue{
		{"fs", &s.Fs, unit.Frequency, "Hz", "hz", positive(2000, "2 kHz")},
		{"qms", &s.Qms, unit.Number, "", "", positive(1000, "1000")},
		{"qes", &s.Qes, unit.Number, "", "", positive(100, "100")},
		{"qts", &s.Qts, unit.Number, "", "", positive(100, "100")},
		{"vas", &s.Vas, unit.Volume, "l", "l cu_ft", positive(10, "10 m3 (is the unit right?)")},
		{"sd", &s.Sd, unit.Area, "cm2", "cm2 m2 in2", positive(1, "1 m2 (is the unit right?)")},
		{"diameter", &s.Diameter, unit.Length, "mm", "mm in", positive(1, "1 m (is the unit right?)")},
		{"re", &s.Re, unit.Resistance, "ohm", "ohm", anyOhms},
		{"le", &s.Le, unit.Inductance, "mH", "mh", notNegative(1, "1 H (is the unit right?)")},
		{"l2", &s.L2, unit.Inductance, "mH", "mh", notNegative(1, "1 H (is the unit right?)")},
		{"r2", &s.R2, unit.Resistance, "ohm", "ohm", notNegative(1e6, "1000 kohm")},
		{"bl", &s.Bl, unit.ForceFactor, "T m", "t_m", positive(1000, "1000 T m")},
		{"mms", &s.Mms, unit.Mass, "g", "g", positive(10, "10 kg (is the unit right?)")},
		{"cms", &s.Cms, unit.Compliance, "mm/N", "mm_n um_n", positive(1, "1 m/N (is the unit right?)")},
		{"rms", &s.Rms, unit.MechanicalResistance, "kg/s", "kg_s", positive(1000, "1000 kg/s")},
		{"xmax", &s.Xmax, unit.Length, "mm", "mm in", travel},
		{"xmech", &s.Xmech, unit.Length, "mm", "mm in", travel},
		{"vd", &s.Claims.Displaced, unit.Volume, "cm3", "cm3", positive(0.1, "100 l (is the unit right?)")},
		{"power", &s.Power, unit.Power, "W", "w", largePower},
		{"impedance", &s.Impedance, unit.Resistance, "ohm", "ohm", anyOhms},
		{"frame", &f.Frame, unit.Length, "mm", "mm in", size},
		{"cutout", &f.Cutout, unit.Length, "mm", "mm in", size},
		{"depth", &f.Depth, unit.Length, "mm", "mm in", size},
		{"magnet", &f.Magnet, unit.Length, "mm", "mm in", size},
		{"displacement", &f.Displacement, unit.Volume, "l", "l cu_in", notNegative(0.1, "100 l (is the unit right?)")},
		{"mass", &f.Mass, unit.Mass, "kg", "kg lb", positive(200, "200 kg")},
	}
}

// driverFields are the fields that read the values of a driver into d.
func (r *reader) driverFields(d *DriverFile) map[string]field {
	s, f := &d.Spec, &d.Frame
	fields := map[string]field{}
	for _, v := range driverValues(d) {
		fields[v.key] = r.quantity(v.at, v.of, v.span)
	}
	maps.Copy(fields, map[string]field{
		"units":       later, // read first, by units
		"name":        r.text(&s.Name, nameLength),
		"re":          r.ohmsOrCoils(fields["re"], &s.Coils.Re, &s.Coils),
		"impedance":   r.ohmsOrCoils(fields["impedance"], &s.Coils.Impedance, &s.Coils),
		"rms":         r.mechanicalRms(fields["rms"]),
		"xmax":        r.travel(fields["xmax"]),
		"xmax_pp":     r.peakToPeak(&s.Xmax),
		"xmech":       r.travel(fields["xmech"]),
		"sensitivity": r.sensitivity(&s.Claims),
		"coils":       func(n *yaml.Node, path string) { r.coils(n, path, &s.Coils) },
		"bolts":       func(n *yaml.Node, path string) { r.bolts(n, path, f) },
		"vent":        r.truth(&f.Vent),
	})
	return fields
}

// driverBy reads the values of a driver by those fields.
func (r *reader) driverBy(fields map[string]field, n *yaml.Node, path string, d *DriverFile) mapping {
	s, f := &d.Spec, &d.Frame
	m := r.object(n, path, fields)
	compare(m, d)
	f.Name, s.Displacement, f.Excursion, f.Sd = s.Name, f.Displacement, s.Xmax, s.Sd
	if f.Sd == 0 {
		f.Sd = math.Pi / 4 * s.Diameter * s.Diameter
	}
	return m
}

// compare faults pairs of values that no driver can have together. One of them may stand in another file.
func compare(m mapping, d *DriverFile) {
	if m.node == nil {
		return
	}
	s, f := &d.Spec, &d.Frame
	refuse := func(key string, wrong bool, text string) {
		if wrong {
			m.fault(partAt(m.node, key), join(m.path, key), "%s", text)
		}
	}
	reaches := func(small, large float64) bool { return small > 0 && large > 0 && small >= large }
	refuse("cutout", reaches(f.Cutout, f.Frame), "must be smaller than frame: the flange has to cover the hole")
	refuse("cutout", reaches(f.Cutout, f.Circle), "must be smaller than the bolt circle: the screws need wood")
	refuse("bolts.circle", reaches(f.Circle, f.Frame), "must be smaller than frame: the bolt circle lies on the flange")
	sameSaid(m)
	refuse("xmech", s.Xmax > 0 && s.Xmech > 0 && s.Xmech < s.Xmax, "must be at least xmax; both count one way")
	const pair = "l2 and r2 belong together: give both or neither"
	refuse("l2", s.L2 > 0 && s.R2 <= 0, pair)
	refuse("r2", s.R2 > 0 && s.L2 <= 0, pair)
}

// coilCounts are the numbers of coils in words.
var coilCounts = map[string]int{"1": 1, "single": 1, "svc": 1, "2": 2, "dual": 2, "double": 2, "dvc": 2}

func (r *reader) coils(n *yaml.Node, path string, c *thielesmall.Coils) {
	if n.Kind == yaml.ScalarNode && !isNull(n) {
		word := strings.ToLower(strings.TrimSpace(n.Value))
		if v, ok := eachCoil(n.Value); ok {
			c.Count, c.Impedance = 2, v
			return
		}
		if count := coilCounts[word]; count > 0 {
			c.Count = count
			return
		}
	}
	r.object(n, path, map[string]field{
		"count":     r.whole(&c.Count, 1, 2),
		"impedance": r.quantity(&c.Impedance, unit.Resistance, anyOhms),
		"re":        r.quantity(&c.Re, unit.Resistance, anyOhms),
		"data_for":  r.connection(&c.DataFor),
	}, need{"count", "1 or 2"})
}

func (r *reader) bolts(n *yaml.Node, path string, f *panels.Driver) {
	r.object(n, path, map[string]field{
		"circle": r.quantity(&f.Circle, unit.Length, positive(1.5, "1.5 m (is the unit right?)")),
		"count":  r.whole(&f.Bolts, 2, 32),
		"hole":   r.quantity(&f.Hole, unit.Length, positive(0.05, "50 mm (is the unit right?)")),
	}, need{"circle", "the diameter of the circle through the holes"}, need{"count", "the number of holes"})
}

// suffices reports why the values do not make a whole driver that can exist; nil if they do.
func (d *DriverFile) suffices() error {
	_, _, err := d.Spec.Complete()
	return err
}

// Locate turns an error of completing the driver in a file into Faults with line, field and value as written. Errors of
// other kinds become faults of the file as a whole. There are none for a nil error.
func Locate(name string, data []byte, err error) Faults {
	root, _ := document(name, data)
	n, path := driverIn(root)
	return locate(name, n, path, err)
}

// locate is Locate for the driver's values in n, which stand at path in the file.
func locate(file string, n *yaml.Node, path string, err error) Faults {
	if err == nil {
		return nil
	}
	var all Faults
	for _, e := range leaves(err) {
		f := Fault{File: file, Field: path, Want: e.Error()}
		if n != nil {
			f.Line = n.Line
		}
		if quantity, want := complaint(e); quantity != "" {
			first, rest, _ := strings.Cut(quantity, ".")
			at := valueOf(n, first)
			if rest != "" {
				at = valueOf(at, rest)
			}
			if at != nil && at.Kind == yaml.ScalarNode {
				f = Fault{File: file, Line: at.Line, Field: join(path, quantity), Value: shown(at.Value), Want: want}
			}
		}
		all = append(all, f)
	}
	return inOrder(all)
}

// complaint gives the quantity that an error of a driver's data is about, and what is said of its value; none when the
// error is about the whole.
func complaint(err error) (quantity, want string) {
	switch e := err.(type) {
	case *thielesmall.RangeError:
		_, want, _ = strings.Cut(e.Error(), ": must ")
		return e.Quantity, "must " + want
	case *thielesmall.CoilsError:
		return "re", e.Want()
	}
	return "", ""
}

// leaves takes joined errors apart.
func leaves(err error) []error {
	if joined, ok := err.(interface{ Unwrap() []error }); ok {
		var all []error
		for _, e := range joined.Unwrap() {
			all = append(all, leaves(e)...)
		}
		return all
	}
	return []error{err}
}
