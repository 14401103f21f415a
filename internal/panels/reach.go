package panels

import "math"

// PortReach gives which ports the box of a spec allows: the least and the longest length that acts, whatever length the spec asks
// for, and what ends it. The port's bore, or its height and width, its count and its face count; so do the driver and all that
// stands in the box before the port. Between the two there may be lengths that are too long to be straight and too short to bend.
// Most is 0 where no such port goes in. The error says why there is no box.
func PortReach(s Spec) (Reach, error) {
	if s.Port == nil {
		return Reach{}, nil
	}
	p := *s.Port
	p.Length = 1e-3 // any that passes for one
	s.Port = nil
	if err := s.validate(); err != nil {
		return Reach{}, err
	}
	s.Count = max(s.Count, 1)
	sh, err := newShell(&s)
	if err != nil {
		return Reach{}, err
	}
	sc := &scene{spec: &s, shell: sh}
	if err := sc.furnish(); err != nil {
		return Reach{}, err
	}
	bare := &scene{spec: sc.spec, shell: sh, faces: sc.faces, cleats: sc.cleats}
	for i := range sc.pieces {
		if k := sc.pieces[i].role; k == Doubler || k == Cleat {
			bare.pieces = append(bare.pieces, sc.pieces[i])
		}
	}
	for i := range sc.bodies {
		switch sc.bodies[i].kind {
		case driverBody, cleatBody, layerBody, nutBody:
			if p.Bore > 0 || sc.bodies[i].kind != driverBody {
				bare.bodies = append(bare.bodies, sc.bodies[i])
			}
		}
	}
	bare.fitted.fixings = sc.fitted.fixings
	s.Port = &p
	if p.Bore <= 0 {
		return bare.slotReach(), nil
	}
	bare.fitted.drivers = sc.fitted.drivers
	p.Length = math.Inf(1)
	_, reach := bare.longest()
	return reach, nil
}
