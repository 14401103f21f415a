package export

import (
	"cubby/internal/panels"
	"cubby/internal/unit"
)

type covering struct {
	Kind      string   `json:"kind"`
	Thickness number   `json:"thickness_mm"`
	Faces     []string `json:"faces"`
	Area      number   `json:"area_to_buy_m2"`
}

var allSides = []string{"front", "back", "top", "bottom", "left", "right"}

func newCovering(b *panels.Box) *covering {
	c := b.Spec.Wood.Covering
	if c == nil {
		return nil
	}
	faces := c.Faces
	if len(faces) == 0 {
		faces = allSides
	}
	return &covering{c.Kind, mm(c.Thickness), faces, number(b.CoverArea())}
}

func finished(b *panels.Box) [3]number {
	f := b.Finished()
	return [3]number{mm(f[0]), mm(f[1]), mm(f[2])}
}

type removable struct {
	Panel   string `json:"panel"`
	Foam    number `json:"foam_mm"`
	Gasket  number `json:"gasket_mm"`
	Screws  int    `json:"screws"`
	Thread  string `json:"thread"`
	Spacing number `json:"most_spacing_mm"`
	Corner  number `json:"most_from_corner_mm"`
}

func newRemovable(r *panels.RemovableFace) *removable {
	if r == nil {
		return nil
	}
	return &removable{r.Panel, mm(r.Foam), mm(r.Gasket), r.Screws, r.Thread, mm(r.Spacing), mm(r.Corner)}
}

type fixing struct {
	Fastening string `json:"fastening"`
	Thread    string `json:"thread,omitempty"`
	Hole      number `json:"hole_mm"`
	Land      number `json:"land_mm"`
	Reason    string `json:"reason"`
}

func newFixing(f panels.Fixing, units unit.System) fixing {
	return fixing{string(f.Fastening), f.Thread, mm(f.Hole), mm(f.Land), f.Reason.Text(units)}
}
