package job

import (
	"maps"

	"cubby/internal/design"
	"cubby/internal/unit"

	"gopkg.in/yaml.v3"
)

// mostRadiators bounds the number of passive radiators of one box.
const mostRadiators = 4

// radiatorKeys are the keys of a driver that a passive radiator has too.
var radiatorKeys = []string{"units", "name", "fs", "qms", "vas", "sd", "diameter", "mms", "cms", "rms", "xmax", "xmax_pp", "xmech",
	"frame", "cutout", "depth", "magnet", "displacement", "bolts", "mass"}

// radiators reads the passive radiators on hand, or those of a ready-made box: the name of a file, or their values,
// which go before those of a file that stands beside them.
func (j *jobReader) radiators(dst **design.Passives) field {
	return func(n *yaml.Node, path string) {
		p, d, before := &design.Passives{}, &DriverFile{}, len(j.faults)+len(j.others)
		switch file := valueOf(n, "file"); {
		case n.Kind == yaml.MappingNode:
			if file != nil {
				j.radiatorFile(file, join(path, "file"), p, d)
			}
			own := map[string]field{"file": later, "face": j.face(&p.Face)}
			fields := j.radiatorFields(p, d)
			maps.Copy(fields, own)
			j.driverBy(fields, n, path, d)
		case j.scalar(n, path, "the name of a radiator's file, or its values"):
			j.radiatorFile(n, path, p, d)
		}
		p.Spec, p.Frame = d.Spec, d.Frame
		if len(j.faults)+len(j.others) == before {
			if _, _, err := p.Spec.Radiator(); err != nil {
				j.note(n, path, "%v", err)
			}
		}
		*dst = p
	}
}

// radiatorFile reads a radiator's own file.
func (j *jobReader) radiatorFile(n *yaml.Node, path string, p *design.Passives, d *DriverFile) {
	if !j.scalar(n, path, "the name of a radiator's file") {
		return
	}
	name, data, ok := j.fileOf(n, path)
	if !ok {
		return
	}
	p.File = name
	root, faults := document(name, data)
	r := &reader{file: name}
	if faults == nil && r.vet(root, 0) {
		r.units(root)
		r.driverBy(r.radiatorFields(p, d), root, "", d)
	}
	j.others = append(append(j.others, faults...), inOrder(r.faults)...)
}

// radiatorFields are the fields that read the values of a radiator.
func (r *reader) radiatorFields(p *design.Passives, d *DriverFile) map[string]field {
	all := r.driverFields(d)
	fields := map[string]field{
		"count":      r.whole(&p.Count, 1, mostRadiators),
		"mass_added": r.quantity(&p.MostAdded, unit.Mass, notNegative(10, "10 kg (is the unit right?)")),
	}
	for _, key := range radiatorKeys {
		fields[key] = all[key]
	}
	return fields
}
