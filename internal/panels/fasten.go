package panels

import (
	"fmt"
	"math"

	"cubby/internal/unit"
)

// Fastening is how the driver is screwed to its face.
type Fastening string

// The fastenings: nuts pulled in from behind, screw-in inserts, wood screws.
const (
	TNut      Fastening = "t-nut"
	Insert    Fastening = "insert"
	WoodScrew Fastening = "screw"
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
	inch = 0.0254 // m, exact
	// screwPlay is what a flange's hole is larger than its screw, at least (common practice).
	screwPlay = 0.2e-3
	// flangeWood is the wood between a T-nut's flange and the opening (common practice).
	flangeWood = 1e-3
)

func threadsOf(u unit.System) []thread {
	if u == unit.Inch {
		return inchThreads
	}
	return metricThreads
}

// Fixing is how the driver's bolts are made: the choice, what is drilled, and why.
type Fixing struct {
	Fastening Fastening
	Thread    string  // empty for wood screws
	Hole      float64 // to drill in the face, m
	Land      float64 // wood between the opening and that hole, m; after the chamfer behind, where there is one
	Reason    string  // one sentence
}

// fixing chooses how the driver is screwed down: nuts where their flange clears the opening, else inserts, else wood screws.
// why gives the reason in words.
func (m *maker) fixing() (fix Fixing, why func() string) {
	d, l, chamfer := m.Driver, m.wrap.length, m.Mounting.Chamfer
	ring := (d.Circle - d.Cutout) / 2 // from the opening to the bolt circle
	made := func(f Fastening, thread string, hole, lost float64) Fixing {
		return Fixing{Fastening: f, Thread: thread, Hole: hole, Land: ring - hole/2 - lost}
	}
	says := func(format string, args ...any) func() string {
		return func() string { return fmt.Sprintf(format, args...) }
	}
	screw := made(WoodScrew, "", pilot, chamfer)
	th, ok := m.threadFor(d.Hole)
	switch {
	case d.Circle <= 0 || d.Cutout <= 0:
		screw.Land = 0
		return screw, says("bolt circle or cut-out is not stated: wood screws, unless the driver in hand has room for inserts")
	case d.Hole <= 0:
		return screw, says("the driver's own holes are not stated: wood screws, pilot 85 to 90 %% of their root")
	case !ok:
		return screw, func() string {
			return fmt.Sprintf("the driver's holes of %s take no machine screw of the usual sizes: wood screws, pilot 85 to 90 %% of their root", l(d.Hole))
		}
	}
	nut, insert := made(TNut, th.name, th.barrel, 0), made(Insert, th.name, th.barrel, chamfer)
	room := func(lead string) func() string {
		return func() string {
			return fmt.Sprintf("%s: from the opening to the bolt circle there is %s, a %s T-nut's flange wants %s (its radius of about %s and %s more)",
				lead, l(ring), th.name, l(th.flange+flangeWood), l(th.flange), l(flangeWood))
		}
	}
	switch want := m.Mounting.Fastening; {
	case want == WoodScrew:
		return screw, says("wood screws, as the job asks")
	case want == Insert:
		return insert, says("screw-in inserts, as the job asks")
	case want == TNut:
		return nut, room("T-nuts, as the job asks")
	case chamfer == 0 && ring >= th.flange+flangeWood-rounding:
		return nut, room("T-nuts")
	case insert.Land < landLeast-rounding:
		return screw, func() string {
			return fmt.Sprintf("wood screws: an insert's hole of %s would leave %s of wood to the opening, less than %s", l(th.barrel), l(math.Max(insert.Land, 0)), l(landLeast))
		}
	case chamfer > 0:
		return insert, says("screw-in inserts: the opening is chamfered behind, where a T-nut's flange would lie")
	}
	return insert, room("screw-in inserts")
}

// threadFor is the largest thread whose screw goes through a flange's hole.
func (m *maker) threadFor(hole float64) (thread, bool) {
	var best thread
	for _, t := range threadsOf(m.Units) {
		if hole >= t.size+screwPlay-rounding {
			best = t
		}
	}
	return best, best.size > 0
}
