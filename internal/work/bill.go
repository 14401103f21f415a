package work

import (
	"math"

	"cubby/internal/nest"
	"cubby/internal/panels"
)

// bill lists what is bought, in the order of the sheet.
func bill(b *panels.Box, l *nest.Layout, screws []panels.ScrewRow) []Item {
	var out []Item
	add := func(i Item) { out = append(out, i) }
	if l != nil {
		count, order := map[int]int{}, []int{}
		for _, sh := range l.Sheets {
			if count[sh.Stock] == 0 {
				order = append(order, sh.Stock)
			}
			count[sh.Stock]++
		}
		for _, k := range order {
			add(Item{Kind: Sheets, Count: count[k], Stock: k, Panel: -1})
		}
	}
	n, thick := 0, 0.0
	for _, r := range screws {
		n += len(r.At)
	}
	for i := range b.Panels {
		if !inside(&b.Panels[i]) {
			thick = math.Max(thick, b.Panels[i].Thickness)
		}
	}
	if n > 0 {
		add(Item{Kind: Screws, Count: n, Size: thick, Long: screwTimes * thick, Panel: -1})
	}
	seam := seams(b)
	add(Item{Kind: Glue, Length: seam, Panel: -1})
	add(Item{Kind: Sealant, Length: seam, Panel: -1})
	mounted := func(kind ItemKind, d *panels.Driver, at *panels.DriverPlace) {
		n, seat := len(at.Centres), index(b, at.Panel)
		if n == 0 {
			return
		}
		add(Item{Kind: kind, Count: n, Panel: seat})
		for i := range out {
			if out[i].Kind == Fasteners && out[i].Size == at.Fixing.Hole {
				out[i].Count += n * d.Bolts
				return
			}
		}
		if d.Bolts > 0 {
			add(Item{Kind: Fasteners, Count: n * d.Bolts, Size: at.Fixing.Hole, Panel: seat})
		}
	}
	mounted(Drivers, &b.Spec.Driver, &b.Drivers)
	tape := float64(len(b.Drivers.Centres)) * math.Pi * b.Spec.Driver.Frame
	if r := b.Radiators; r != nil {
		mounted(Radiators, &b.Spec.Radiators.Driver, r)
		tape += float64(len(r.Centres)) * math.Pi * b.Spec.Radiators.Frame
	}
	if tape > 0 {
		add(Item{Kind: Gasket, Length: tape, Panel: index(b, b.Drivers.Panel)})
	}
	if r := b.Removable; r != nil {
		add(Item{Kind: FaceParts, Count: r.Screws, Size: r.Barrel, Panel: removable(b)})
		add(Item{Kind: FaceFoam, Length: r.Tape, Size: r.Foam, Panel: removable(b)})
	}
	out = append(out, portItems(b)...)
	for i := range b.Panels {
		for _, h := range b.Panels[i].Holes {
			switch {
			case h.Kind == "terminal":
				add(Item{Kind: Terminal, Count: 1, Panel: i})
			case h.Kind == "cable":
				add(Item{Kind: Cable, Count: 1, Length: cableLength, Size: h.Diameter, Panel: i})
			case h.ToVehicle():
				add(Item{Kind: Fixing, Count: 1, Size: h.Diameter, Panel: i})
			}
		}
	}
	add(Item{Kind: Covering, Area: coverArea(b), Panel: -1})
	return out
}

// screwTimes is how long a screw is against the board (common practice: 2.5 to 3 times); cableLength is left hanging out, m.
const (
	screwTimes  = 2.5
	cableLength = 0.6
)

func coverArea(b *panels.Box) float64 {
	if b.Spec.Wood.Covering == nil {
		return 0
	}
	return b.CoverArea()
}

// portItems are tubes, saddles and flanges.
func portItems(b *panels.Box) []Item {
	spec := b.Spec.Port
	if spec == nil || len(b.Ports) == 0 || b.Ports[0].Height > 0 {
		return nil
	}
	s := b.Ports[0]
	out := []Item{{Kind: PortTube, Count: len(b.Ports), Size: spec.Bore, Long: s.Length, Panel: index(b, s.Panel)}}
	n := 0 // saddles to buy
	for _, s := range b.Ports {
		if s.Saddle > 0 {
			n++
		}
	}
	for i := range b.Panels {
		if b.Panels[i].Role == panels.Saddle {
			n -= b.Panels[i].Count
		}
	}
	if n > 0 {
		out = append(out, Item{Kind: SaddleFor, Count: n, Size: spec.Outside, Long: s.Saddle, Panel: -1})
	}
	if spec.Flange.Rim > 0 {
		out = append(out, Item{Kind: Flange, Count: len(b.Ports), Size: spec.Flange.Rim, Panel: index(b, s.Panel)})
	}
	return out
}

// seams is the length of the joints: those between walls along the box, and those of both ends round the inside section; a removable
// face lies on its gasket.
func seams(b *panels.Box) float64 {
	sum := 0.0
	for i := range b.Panels {
		if b.Panels[i].Role == panels.Wall {
			sum += b.Panels[i].Length
		}
	}
	for i := range b.Inside {
		p, q := b.Inside.Edge(i)
		sum += 2 * q.Sub(p).Norm()
	}
	if b.Removable != nil {
		sum -= b.Removable.Tape
	}
	return sum
}
