package panels

import (
	"math"

	"cubby/internal/grade"
	"cubby/internal/plane"
)

// thread is a machine screw with what is drilled for it: all from memory, which is why the sheet says "measure the barrel".
type thread struct {
	name   string
	size   float64 // of the screw, m
	clear  float64 // its hole in a flange or a face
	barrel float64 // of its nut or insert, in the wood
	flange float64 // radius of a T-nut's flange
}

var (
	metricThreads = []thread{{"M4", 4e-3, 4.5e-3, 5.5e-3, 7.5e-3}, {"M5", 5e-3, 5.5e-3, 6.5e-3, 8e-3}, {"M6", 6e-3, 6.5e-3, 8e-3, 9.5e-3}}
	inchThreads   = []thread{
		{"8-32", 4.17e-3, 3.0 / 16 * inch, 7.0 / 32 * inch, 7.5e-3},
		{"10-24", 4.83e-3, 7.0 / 32 * inch, 1.0 / 4 * inch, 8e-3},
		{"1/4-20", 6.35e-3, 9.0 / 32 * inch, 5.0 / 16 * inch, 9.5e-3}}
)

const (
	// screwPlay is what a flange's hole is larger than its screw, at least (common practice).
	screwPlay = 0.2e-3
	// pilot is the hole for a driver's wood screw (common practice for a 4 mm screw in MDF).
	pilot = 3e-3
)

func threadsOf(inch bool) []thread {
	if inch {
		return inchThreads
	}
	return metricThreads
}

// faceThread is the thread of the screws of a removable face, by the thickness of the face.
func faceThread(t float64, inch bool) thread {
	all := threadsOf(inch)
	if t >= heavyFace {
		return all[2]
	}
	return all[1]
}

// threadFor is the largest thread whose screw goes through a flange's hole.
func threadFor(hole float64, inch bool) (thread, bool) {
	var best thread
	for _, t := range threadsOf(inch) {
		if hole >= t.size+screwPlay-rounding {
			best = t
		}
	}
	return best, best.size > 0
}

// fixing chooses how a driver or radiator is screwed down: nuts where their flange clears the opening, else inserts, else wood screws.
func (s *scene) fixing(d mount) Fixing {
	chamfer := d.Chamfer
	ring := (d.Circle - d.Cutout) / 2 // from the opening to the bolt circle
	least, over := grade.Of(grade.BoltLand).Marginal, grade.Of(grade.TeeNutMargin).Pass
	made := func(f Fastening, thread string, hole, lost float64) Fixing {
		return Fixing{Fastening: f, Thread: thread, Hole: hole, Land: ring - hole/2 - lost}
	}
	because := func(f Fixing, form string, values ...any) Fixing {
		f.Reason = say(form, values...)
		return f
	}
	screw := made(WoodScrew, "", pilot, chamfer)
	th, ok := threadFor(d.Hole, s.spec.InchThreads)
	switch {
	case d.Circle <= 0 || d.Cutout <= 0:
		screw.Land = 0
		return because(screw, "bolt circle or cut-out is not stated: wood screws, unless the one in hand has room for inserts")
	case d.Hole <= 0:
		return because(screw, "the driver's own holes are not stated: wood screws, pilot 85 to 90 %% of their root")
	case !ok:
		return because(screw, "the driver's holes of %s take no machine screw of the usual sizes: wood screws, pilot 85 to 90 %% of their root", Length(d.Hole))
	}
	nut, insert := made(TNut, th.name, th.barrel, 0), made(Insert, th.name, th.barrel, chamfer)
	room := func(lead string) Message {
		return say("%s: from the opening to the bolt circle there is %s, a %s T-nut's flange wants %s (its radius of about %s and %s more)",
			lead, Length(ring), th.name, Length(th.flange+over), Length(th.flange), Length(over))
	}
	switch want := d.Mounting.Fastening; {
	case want == WoodScrew:
		return because(screw, "wood screws, as the job asks")
	case want == Insert:
		return because(insert, "screw-in inserts, as the job asks")
	case want == TNut:
		nut.Reason = room("T-nuts, as the job asks")
		return nut
	case chamfer == 0 && ring >= th.flange+over-rounding:
		nut.Reason = room("T-nuts")
		return nut
	case insert.Land < least-rounding:
		return because(screw, "wood screws: an insert's hole of %s would leave %s of wood to the opening, less than %s", Length(th.barrel), Length(math.Max(insert.Land, 0)), Length(least))
	case chamfer > 0:
		return because(insert, "screw-in inserts: the opening is chamfered behind, where a T-nut's flange would lie")
	}
	insert.Reason = room("screw-in inserts")
	return insert
}

// bolts gives the holes of the bolt circle round a centre. The circle starts half a step clockwise of the panel's y, so that no
// bolt stands nearest to the joint above or below.
func (d *mounted) bolts(c plane.Point) []Hole {
	if d.Circle <= 0 || d.Bolts <= 0 {
		return nil
	}
	holes := make([]Hole, d.Bolts)
	for i, at := range circle(d.Bolts, d.Circle/2) {
		holes[i] = Hole{Kind: HoleBolt, X: c.X + at.X, Y: c.Y + at.Y, Diameter: d.fix.Hole, From: "outer", Use: d.use()}
	}
	return holes
}

// circle gives n places evenly round the origin, the first half a step clockwise of y.
func circle(n int, r float64) []plane.Point {
	at := make([]plane.Point, n)
	for i := range at {
		s, c := math.Sincos((float64(i) + 0.5) * 2 * math.Pi / float64(n))
		at[i] = plane.Point{X: r * s, Y: r * c}
	}
	return at
}
