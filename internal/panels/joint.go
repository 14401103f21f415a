package panels

import (
	"fmt"
	"math"

	"cubby/internal/plane"
)

const (
	degree = math.Pi / 180

	// sawTilt is the largest tilt that a saw's blade is set to; joints are chosen to stay within it.
	sawTilt = 45 * degree
	// angleSlack lets an exact 45 degrees pass for 45: far below what a saw can show, far above rounding of the arithmetic.
	angleSlack = 1e-9
	// squareSlack is how far from 90 degrees a corner may be and still take a rabbet (common practice).
	squareSlack = 0.5 * degree
	// flatCorner is the interior angle beyond which walls of different thickness have no inside corner worth the name.
	flatCorner = 165 * degree
	// sameBoard is the difference up to which two boards count as equally thick: the smallest that a caliper shows.
	sameBoard = 0.05e-3
)

// corner is how two walls meet: wall i-1 ends and wall i starts at corner i.
type corner struct {
	joint         Joint
	through, stop int     // walls; equal to each other for a mitre
	angle         float64 // interior, rad
	rabbet        float64 // depth, m
	chosen        bool    // by the job, not by rule
}

func (c corner) convex() bool { return c.angle < math.Pi }

// buttTilt is the size of the tilt of both edges of a butt joint at interior angle a.
func buttTilt(a float64) float64 {
	if a < math.Pi {
		return math.Abs(math.Pi/2 - a)
	}
	return math.Abs(3*math.Pi/2 - a)
}

// mitreTilt is the signed tilt of the edge of a board t thick, mitred at interior angle a to one t2 thick:
//
//	tilt = atan(run/t), run = (t2 + t cos a) / sin a
//
// For equal boards it is 90 degrees - a/2. Valid for reflex corners too.
func mitreTilt(t, t2, a float64) float64 {
	return math.Atan((t2 + t*math.Cos(a)) / math.Sin(a) / t)
}

// largestTilt is the larger size of the two tilts of a joint.
func largestTilt(j Joint, a, t1, t2 float64) float64 {
	if j != Mitre {
		return buttTilt(a)
	}
	return math.Max(math.Abs(mitreTilt(t1, t2, a)), math.Abs(mitreTilt(t2, t1, a)))
}

// chooseJoint keeps the wish where a saw can make it, and takes the joint with the smaller tilt where it cannot.
func chooseJoint(wish Joint, a, t1, t2 float64) Joint {
	if wish == Rabbet {
		if math.Abs(a-math.Pi/2) <= squareSlack {
			return Rabbet
		}
		wish = Butt
	}
	other := Butt + Mitre - wish
	wished, instead := largestTilt(wish, a, t1, t2), largestTilt(other, a, t1, t2)
	if wished <= sawTilt+angleSlack || wished <= instead {
		return wish
	}
	return other
}

// rank orders the walls by who runs through a butt joint: bottom, top, treads (a riser stands on its tread, so that glue
// squeezes down and the tread's edge is closed), then back, slopes from low to high, risers, front.
func rank(name string) int {
	switch kind := wallKind(name); kind {
	case "bottom":
		return 0
	case "top":
		return 1
	case "tread", "soffit":
		return 2
	case "back", "nose":
		return 3
	case "slope":
		return 4
	case "riser":
		return 5
	}
	return 6
}

// wallKind is a wall's name without its number.
func wallKind(name string) string {
	for i := range name {
		if name[i] == ' ' {
			return name[:i]
		}
	}
	return name
}

// runsThrough reports whether wall a runs through where it meets wall b; walls of one rank go by their order in walk.
func runsThrough(names []string, a, b int) bool {
	if ra, rb := rank(names[a]), rank(names[b]); ra != rb {
		return ra < rb
	}
	if len(names[a]) != len(names[b]) {
		return len(names[a]) < len(names[b])
	}
	return names[a] < names[b]
}

// settle decides the joint at every corner, or refuses corners that no joint closes.
func (w *wrap) settle(wood Wood, wishes []CornerWish) error {
	n := len(w.section)
	w.unmet(wishes)
	w.corners = make([]corner, n)
	for i := range w.corners {
		a, b := (i+n-1)%n, i
		c := corner{joint: wood.Joints, through: b, stop: a}
		c.angle = math.Pi - turn(w.u[a], w.u[b])
		if math.Abs(w.t[a]-w.t[b]) > sameBoard && math.Min(c.angle, 2*math.Pi-c.angle) > flatCorner {
			return &BuildError{Reason: UnlikeBoards, Panel: w.names[b], Value: w.t[a], Limit: w.t[b],
				Text: fmt.Sprintf("%s and %s meet at %.1f degrees: walls that meet so flat must be the same board, and one is %s and the other %s thick",
					w.names[a], w.names[b], c.angle/degree, w.length(w.t[a]), w.length(w.t[b]))}
		}
		if runsThrough(w.names, a, b) {
			c.through, c.stop = a, b
		}
		w.wish(&c, wishes)
		if !c.chosen {
			c.joint = chooseJoint(c.joint, c.angle, w.t[a], w.t[b])
		}
		w.finish(&c, wood)
		w.corners[i] = c
	}
	return nil
}

// wish applies the job's own choice for this corner, if there is one.
func (w *wrap) wish(c *corner, wishes []CornerWish) {
	a, b := w.names[c.through], w.names[c.stop]
	for _, x := range wishes {
		if (x.Between != [2]string{a, b}) && (x.Between != [2]string{b, a}) {
			continue
		}
		c.joint, c.chosen = x.Joint, true
		if x.Through == b {
			c.through, c.stop = c.stop, c.through
		}
	}
}

// unmet warns of wishes for corners that this section does not have.
func (w *wrap) unmet(wishes []CornerWish) {
	for _, x := range wishes {
		found := false
		for i, a := range w.names {
			b := w.names[(i+1)%len(w.names)]
			found = found || x.Between == [2]string{a, b} || x.Between == [2]string{b, a}
		}
		if !found {
			w.warn("no corner between %s and %s in this shape: the %s joint wished there is left out", x.Between[0], x.Between[1], x.Joint)
		}
	}
}

// finish settles the rabbet's depth and turns joints that cannot be into butt joints.
func (w *wrap) finish(c *corner, wood Wood) {
	if c.joint == Rabbet {
		depth, ok := rabbetDepth(wood, w.t[c.through])
		if !ok || math.Abs(c.angle-math.Pi/2) > squareSlack {
			c.joint = Butt
			w.warn("%s and %s cannot be rabbeted together (a rabbet wants a square corner and a board of %s or more): butt joint",
				w.names[c.through], w.names[c.stop], w.length(minRabbet+minLip))
			return
		}
		c.rabbet = depth
	}
	if c.joint == Mitre {
		c.stop = c.through
	}
}

// Rabbets are at least minRabbet deep and leave a lip of at least minLip (common practice).
const (
	minRabbet = 5e-3
	minLip    = 8e-3
)

// rabbetDepth is how deep a rabbet is cut into a board t thick: a third of it, half for plywood, rounded down to 1 mm.
func rabbetDepth(wood Wood, t float64) (depth float64, ok bool) {
	depth = wood.RabbetDepth
	if depth == 0 {
		share := 3.0
		if boardOf(wood.Board).plies {
			share = 2
		}
		depth = math.Floor((t/share+rounding)*1000) / 1000
	}
	return depth, depth >= minRabbet-rounding && t-depth >= minLip-rounding
}

// turn is the signed angle from direction u to direction v.
func turn(u, v plane.Point) float64 { return math.Atan2(u.Cross(v), u.Dot(v)) }
