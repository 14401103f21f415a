package render

import (
	"fmt"
	"math"
	"strings"

	"cubby/internal/panels"
)

// finishedText is the outside with covering and gasket, and empty where that is the bare wood.
func (s *shop) finishedText() string {
	f := s.box.Finished()
	lo, hi := bounds(s.box.Section)
	if f[0]-s.box.Width < sameFace && f[1]-(hi.X-lo.X) < sameFace && f[2]-(hi.Y-lo.Y) < sameFace {
		return ""
	}
	return s.m.times(f[0], f[1], f[2]) + " " + s.m.mark()
}

// finishWords names what the finished size has over the bare wood.
func (s *shop) finishWords() string {
	var with []string
	if s.box.Spec.Wood.Covering != nil {
		with = append(with, "covering")
	}
	if s.box.Removable != nil {
		with = append(with, "gasket")
	}
	return listed(with)
}

// coveringText says what is glued over the box, and what it changes.
func (s *shop) coveringText() string {
	c := s.box.Spec.Wood.Covering
	if c == nil {
		return "none is allowed for: the bare box fills its size. Ask before you cover it."
	}
	kind, faces := c.Kind, "all faces"
	if kind == "" {
		kind = "covering"
	}
	if len(c.Faces) > 0 {
		faces = listed(c.Faces)
	}
	t := fmt.Sprintf("%s, %s thick, on %s; room is kept for it. Panels and openings are drawn in bare wood.", kind, s.m.full(c.Thickness), faces)
	if r := s.box.Removable; r != nil {
		t += fmt.Sprintf(" Cover the removable %s by itself, its edges too: it grows by twice the thickness, and so must what it goes into.", place(r.Panel))
	}
	return t
}

func (s *shop) coveringRow() hardwareRow {
	c := s.box.Spec.Wood.Covering
	if c == nil {
		return hardwareRow{"Covering", "none in this sheet", fmt.Sprintf("the outside of the bare box is %s; a covering adds its thickness on every covered face and there is no room kept for it", s.areaText(s.outsideArea()))}
	}
	return hardwareRow{"Covering", s.areaText(s.box.CoverArea()), s.coveringText() + " The area has 10 % for waste and 50 mm (2 in) for wraps (common practice)"}
}

// fasteningNames are what holds the driver, as bought.
var fasteningNames = map[panels.Fastening]string{
	panels.TNut: "T-nuts %s with machine screws", panels.Insert: "Screw-in inserts %s with machine screws", panels.WoodScrew: "Wood screws for the driver",
}

// driverFixingRow is what the driver is screwed down with, and why.
func (s *shop) driverFixingRow(count int) hardwareRow {
	d, fix := s.box.Spec.Driver, s.box.Drivers.Fixing
	what := fasteningNames[fix.Fastening]
	if strings.Contains(what, "%s") {
		what = fmt.Sprintf(what, fix.Thread)
	}
	note := upperFirst(fix.Reason.Text(s.m.sys)) + "."
	if d.Circle > 0 {
		note += " Bolt circle " + s.m.full(d.Circle)
		if d.Hole > 0 {
			note += ", the driver's own holes " + s.m.full(d.Hole)
		}
		note += "."
	}
	note += fmt.Sprintf(" Holes of %s in the wood", s.m.full(fix.Hole))
	switch fix.Fastening {
	case panels.TNut:
		note += ": measure the barrel, the hole fits it; measure the flange too. From the rear, glued, pulled in with a screw, before assembly (common practice)"
	case panels.Insert:
		note += ": measure the barrel, the hole fits it (common practice)"
	default:
		note += ": pilot 85 to 90 % of the screw's root (common practice)"
	}
	return hardwareRow{what, fmt.Sprint(count), note}
}

// looseRows are what holds a removable face.
func (s *shop) looseRows() []hardwareRow {
	r := s.box.Removable
	if r == nil {
		return nil
	}
	return []hardwareRow{
		{fmt.Sprintf("Machine screws %s with screw-in inserts", r.Thread), fmt.Sprint(r.Screws),
			fmt.Sprintf("for the removable %s: holes of %s in it, of %s in the cleats (measure the barrel); at most %s apart and %s from a corner (common practice)",
				place(r.Panel), s.m.full(r.Hole), s.m.full(r.Barrel), s.m.full(r.Spacing), s.m.full(r.Corner))},
		{"Foam gasket, closed cell, " + s.m.full(r.Foam), s.seamText(r.Tape),
			fmt.Sprintf("all round under the removable %s, joints butted tight; it seats to about %s, which the finished outside counts (common practice)", place(r.Panel), s.m.full(r.Gasket))},
	}
}

// flangeRow is the rim of the port's tubes.
func (s *shop) flangeRow() []hardwareRow {
	p := s.box.Spec.Port
	if p == nil || p.Flange.Rim <= 0 || p.Bore <= 0 {
		return nil
	}
	f := p.Flange
	note := "glued and sealed"
	if f.Screws > 0 {
		note = plural(f.Screws*max(1, p.Count), "screw") + " and a bead of sealant"
	}
	if f.Rebate > 0 {
		note += fmt.Sprintf(", let in by %s", s.m.full(f.Rebate))
	}
	return []hardwareRow{{"Flange of the port", plural(max(1, p.Count), "piece"), fmt.Sprintf("stands out %s beyond the tube all round; %s", s.m.full(f.Rim), note)}}
}

// vehicleFixings lists the holes for fixing the box to the vehicle: text by text with its count, and the panels that have them.
func (s *shop) vehicleFixings() (uses []string, counts map[string]int, where []panels.Panel) {
	counts = map[string]int{}
	for _, p := range s.byMark() {
		has := false
		for _, h := range p.Holes {
			if h.ToVehicle() {
				has = true
				use := fmt.Sprintf("%s, hole %s", h.Use, s.m.full(h.Diameter))
				if counts[use]++; counts[use] == 1 {
					uses = append(uses, use)
				}
			}
		}
		if has {
			where = append(where, p)
		}
	}
	return uses, counts, where
}

func (s *shop) fixingRows() []hardwareRow {
	uses, counts, _ := s.vehicleFixings()
	var out []hardwareRow
	for _, u := range uses {
		out = append(out, hardwareRow{upperFirst(u), fmt.Sprint(counts[u]), "drilled before gluing and sealed round the thread; insert or washer plate inside (common practice)"})
	}
	return out
}

// fixingText says where the box is fixed to the vehicle, for the shop's first page.
func (s *shop) fixingText() string {
	_, counts, where := s.vehicleFixings()
	n := 0
	for _, k := range counts {
		n += k
	}
	if n == 0 {
		return "none stated: ask the fitter, and decide before gluing. Inserts and plates inside cannot be added later."
	}
	return fmt.Sprintf("%s in %s: drilled, and inserts or plates set, before gluing.", plural(n, "fixing point"), markedAll(where))
}

// recessText names the recess for the driver's flange, or nothing.
func (s *shop) recessText() string {
	m := s.box.Spec.Mounting
	var t []string
	if m.Recess > 0 {
		t = append(t, fmt.Sprintf("Rout the recess for the driver's flange %s deep first, then the opening inside it: try the driver in a test piece.", s.m.full(m.Recess)))
	}
	if m.Chamfer > 0 {
		t = append(t, fmt.Sprintf("Chamfer the opening from behind, 45°, %s deep.", s.m.full(m.Chamfer)))
	}
	return strings.Join(t, " ")
}

// looseStep is how the removable face goes on, after everything else.
func (s *shop) looseStep() string {
	r := s.box.Removable
	if r == nil {
		return ""
	}
	return fmt.Sprintf("Screw on the removable face: %s, never glued, on its gasket: %d screws %s, in turn from the middle of each side, until the foam is %s thick all round. Driver and its own screws stay on it when it comes off.",
		marked(*s.panelNamed(r.Panel)), r.Screws, r.Thread, s.m.full(r.Gasket))
}

// frameStep checks what the removable face lands on.
func (s *shop) frameStep() string {
	if s.box.Removable == nil {
		return ""
	}
	return fmt.Sprintf("The frame under the removable %s must be flat: plane edges and cleats level, set the inserts, and lay the face on dry. Do not glue it.", place(s.box.Removable.Panel))
}

func (s *shop) panelNamed(name string) *panels.Panel {
	for i := range s.box.Panels {
		if s.box.Panels[i].Name == name {
			return &s.box.Panels[i]
		}
	}
	return &panels.Panel{Label: panels.Label{Name: name}}
}

// trimStep trims ends that are cut larger.
func (s *shop) trimStep() string {
	most := 0.0
	var which []panels.Panel
	for _, p := range s.withRole(panels.End) {
		if p.Flush > 0 {
			most, which = math.Max(most, p.Flush), append(which, p)
		}
	}
	if most == 0 {
		return ""
	}
	return fmt.Sprintf("Trim %s flush with a router, bearing on the walls: they stand out %s all round. Cut their openings after that, measured from the finished edges.", markedAll(which), s.m.full(most))
}

// coverStep ends the work on a box that is covered.
func (s *shop) coverStep() string {
	f := s.finishedText()
	if f == "" {
		return ""
	}
	t := fmt.Sprintf(" Finished with %s: %s at most.", s.finishWords(), f)
	if s.box.Spec.Wood.Covering != nil {
		t += " Cover the box after the leak test and before the driver goes in; cut the covering back from under flange, plate and gaskets."
	}
	return t
}
