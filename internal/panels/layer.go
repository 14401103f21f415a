package panels

import (
	"fmt"
	"math"

	"cubby/internal/plane"
)

// layerPlay is what an inner doubler is smaller than the inside on every side, so that it goes in after the wrap (common practice).
const layerPlay = 1e-3

// layer is one inner doubler of the driver's face.
type layer struct {
	name   string
	t      float64
	front  float64       // depth of its outer face behind the face's outer face
	rect   plane.Rect    // in the panel frame of the face; for ends its bounds
	shape  plane.Polygon // ends: its outline in the panel frame of the end
	opened float64       // area of openings cut through it
}

func (l layer) area() float64 {
	if l.shape != nil {
		return l.shape.Area()
	}
	return (l.rect.Max.X - l.rect.Min.X) * (l.rect.Max.Y - l.rect.Min.Y)
}

// volume is the air that the layer takes: its wood, openings taken off, since a driver's stated displacement includes what
// sits in its hole.
func (l layer) volume() float64 { return math.Max(l.area()-l.opened, 0) * l.t }

// planLayers makes the inner doublers of the driver's face: square edged, the inside size less 1 mm per side.
func (m *maker) planLayers() error {
	if !m.Wood.LayerInside || m.Wood.FrontLayers < 2 {
		return nil
	}
	wall, end, err := m.resolve(m.Face, m.Section, m.wrap.names)
	if err != nil {
		return err
	}
	f := m.faceOf(wall, end)
	cut, _ := m.Driver.cutout()
	for k := 1; k < m.Wood.FrontLayers; k++ {
		l := layer{name: "inner layer", t: m.Wood.Thickness, front: f.t + float64(k-1)*m.Wood.Thickness}
		if m.Wood.FrontLayers > 2 {
			l.name = fmt.Sprintf("inner layer %d", k)
		}
		l.opened = float64(max(m.Count, 1)) * math.Pi / 4 * cut * cut
		if f.shape != nil {
			if l.shape, err = shrink(f.shape, layerPlay+m.cleatFace()); err != nil {
				return err
			}
			l.rect = l.shape.Bounds()
		} else {
			l.rect = f.square(l.front, l.front+l.t, layerPlay+m.cleatFace())
		}
		if l.area() <= l.opened || l.rect.Max.Y <= l.rect.Min.Y {
			return &BuildError{Reason: NoInside, Panel: l.name, Text: fmt.Sprintf("behind the %s there is no room for an inner layer", f.name)}
		}
		m.layers = append(m.layers, l)
	}
	return nil
}

// within narrows the free part of the face to what an inner layer covers, since frame and bolts go through both.
func (f *face) within(l layer) {
	if l.shape != nil {
		f.shape = l.shape
	}
	f.free.Min = plane.Point{X: math.Max(f.free.Min.X, l.rect.Min.X), Y: math.Max(f.free.Min.Y, l.rect.Min.Y)}
	f.free.Max = plane.Point{X: math.Min(f.free.Max.X, l.rect.Max.X), Y: math.Min(f.free.Max.Y, l.rect.Max.Y)}
}

// square is the largest rectangle on the inner face, less play on every side, that is clear of the neighbouring walls from
// the depth d0 to d1.
func (f *face) square(d0, d1, play float64) plane.Rect {
	r := f.inner
	mid := (r.Min.Y + r.Max.Y) / 2
	n := len(f.inside)
	for j := range f.inside {
		if j == f.wall {
			continue
		}
		p, q := f.inside[j], f.inside[(j+1)%n]
		lo, hi, ok := spanWithin(p, q, d0, d1)
		if !ok {
			continue
		}
		if (lo+hi)/2 > mid {
			r.Max.Y = math.Min(r.Max.Y, lo)
		} else {
			r.Min.Y = math.Max(r.Min.Y, hi)
		}
	}
	return plane.Rect{Min: r.Min.Add(plane.Point{X: play, Y: play}), Max: r.Max.Sub(plane.Point{X: play, Y: play})}
}

// spanWithin gives the least and greatest X of the part of the segment pq whose Y lies between d0 and d1.
func spanWithin(p, q plane.Point, d0, d1 float64) (lo, hi float64, ok bool) {
	if p.Y > q.Y {
		p, q = q, p
	}
	if q.Y < d0 || p.Y > d1 {
		return 0, 0, false
	}
	at := func(d float64) float64 {
		if q.Y == p.Y {
			return p.X
		}
		return p.X + (q.X-p.X)*(d-p.Y)/(q.Y-p.Y)
	}
	a, b := at(math.Max(p.Y, d0)), at(math.Min(q.Y, d1))
	if q.Y == p.Y {
		a, b = p.X, q.X
	}
	return math.Min(a, b), math.Max(a, b), true
}

// shrink moves every side of a polygon inward by d and gives the largest piece.
func shrink(g plane.Polygon, d float64) (plane.Polygon, error) {
	by := make([]float64, len(g))
	for i := range by {
		by[i] = d
	}
	pieces, err := g.Inset(by)
	if err != nil {
		return nil, err
	}
	if len(pieces) == 0 {
		return nil, &BuildError{Reason: NoInside, Text: "the inside is too narrow for a panel parallel to the ends"}
	}
	return pieces[0], nil
}

// largest is the largest of the pieces of a polygon, nil when there is none.
func largest(pieces []plane.Polygon) plane.Polygon {
	var best plane.Polygon
	for _, g := range pieces {
		if math.Abs(g.Area()) > math.Abs(best.Area()) {
			best = g
		}
	}
	return best
}

// layerPanels makes the panels of the layers. Their frames are the face's, moved to the layer's lower left corner.
func (m *maker) layerPanels() []Panel {
	var all []Panel
	for _, l := range m.layers {
		f := m.seat
		p := Panel{Name: l.name, Role: Layer, Count: 1, Layers: 1, Board: m.Wood.Board, Thickness: l.t, Nominal: m.nominal(l.t, 1)}
		p.Place = Frame{Origin: f.place.At(l.rect.Min.X, l.rect.Min.Y, -l.front), X: f.place.X, Y: f.place.Y}
		size := l.rect.Max.Sub(l.rect.Min)
		if l.shape != nil {
			p.Outline = l.shape.Translate(l.rect.Min.Mul(-1))
		} else {
			p.Outline = plane.Polygon{{}, {X: size.X}, {X: size.X, Y: size.Y}, {Y: size.Y}}
		}
		p.Length, p.Width, p.OuterWidth, p.InnerWidth = size.X, size.Y, size.Y, size.Y
		p.Blank = [2]float64{size.X, size.Y}
		p.Volume = l.area() * l.t
		for i := range p.Outline {
			p.Edges = append(p.Edges, Edge{Edge: fmt.Sprintf("e%d", i), Joint: "butt-stop", Angle: math.Pi / 2, LongFace: "equal"})
		}
		cut := m.box.DriverSeat.Opening
		for _, c := range m.box.DriverSeat.Centres {
			if cut > 0 {
				p.Holes = append(p.Holes, Hole{Kind: "driver", X: c.X - l.rect.Min.X, Y: c.Y - l.rect.Min.Y, Diameter: cut, From: "outer"})
			}
			for _, b := range m.bolts(c) {
				b.X, b.Y = b.X-l.rect.Min.X, b.Y-l.rect.Min.Y
				p.Holes = append(p.Holes, b)
			}
		}
		for _, t := range m.ports {
			if t.face == f {
				p.Holes = append(p.Holes, Hole{Kind: "port", X: t.seat.Centre.X - l.rect.Min.X, Y: t.seat.Centre.Y - l.rect.Min.Y, Diameter: t.od + holeOver, From: "outer"})
			}
		}
		p.Notes = append(p.Notes, "goes in after the wrap is glued, square edges; open the driver's hole from behind at 45 degrees between the bolts if wished")
		all = append(all, p)
	}
	return all
}
