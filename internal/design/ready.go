package design

import (
	"fmt"
	"math"

	shape "cubby/internal/duct"
	"cubby/internal/panels"
	"cubby/internal/plane"
	"cubby/internal/solid"
	"cubby/internal/thielesmall"
)

// A ReadyBox is a box as sold, or as it stands on the bench: what is known of it. Zero is not known.
type ReadyBox struct {
	Name      string
	Kind      Kind
	NetVolume float64 // m3, as claimed: net of driver, port and braces; of a band-pass its front chamber
	Rear      float64 // m3, likewise, of the closed chamber of a band-pass
	Shell
	Port    ReadyPort
	Passive *Passives
	LeakQ   float64 // 0: none when sealed, else 7
	Filling Filling
	Hole
	Mass  float64 // kg
	Price float64
}

// Shell is the outside of a box as sold, m.
type Shell struct {
	Section plane.Polygon // depth and height; nil: not known
	Width   float64
	Wall    float64 // thickness
}

// Hole is where its driver goes, m.
type Hole struct {
	Opening float64 // driver cut-out
	Depth   float64 // behind the plane that the flange sits on, on the driver's axis
	Circle  float64 // bolt circle
}

// ReadyPort is the port of a box as sold. Tuning alone is a claim from which a port is implied.
type ReadyPort struct {
	Count         int        // 0: 1
	Diameter      float64    // inside, of each tube
	Height, Width float64    // slot
	Length        float64    // mouth to mouth
	Ends          [2]EndKind // outside, inside
	Edge, Flare   float64    // radius to which the mouths are rounded; of a tube's flared ends
	Friction      bool
	Tuning        float64 // Hz, as claimed
}

// EndKind is the condition at one end of a port.
type EndKind int

// The conditions; the zero value is not stated: flush outside, free inside.
const (
	EndUnstated EndKind = iota
	EndFlush
	EndFree
	EndWall   // slot: one long side on a wall
	EndCorner // slot: in a corner of two walls
	EndNear   // tube: inside a box of known section
)

// Filling is fibre in a sealed box.
type Filling struct {
	Fraction, Density float64 // share of the volume; kg/m3
	Gain, Q           float64 // what the filling does, when it is known; 0: by the model
}

// portWallGuess is the wall of a tube whose outside is not stated (common practice).
const portWallGuess = 0.003 // m

// air is the net volume that a box is judged by, where it comes from, and what follows from its outside; NaN is unknown.
type readyAir struct {
	net, inside, fromOutside float64
	source                   string
}

// airOf works out the net volume: as claimed, else from the outside with the same geometry as a box that is designed.
func (p *rig) airOf(b ReadyBox) (readyAir, error) {
	a := readyAir{net: b.NetVolume, inside: math.NaN(), fromOutside: math.NaN(), source: "as claimed"}
	if b.Section != nil && b.Wall > 0 {
		body, err := solid.Straight(b.Section.CCW(), solid.Across, 0, b.Width)
		if err != nil {
			return a, err
		}
		box, err := panels.Plan(panels.Spec{Outside: body, Wood: panels.Wood{Board: "board", Thickness: b.Wall}})
		if err != nil {
			return a, p.inUnits(err)
		}
		a.inside = box.InsideVolume
		a.fromOutside = box.InsideVolume - float64(max(1, p.req.Mount.Count))*p.req.Frame.Displacement - b.Port.taken(b.Wall)
		if q := b.Passive; q != nil {
			a.fromOutside -= float64(max(1, q.Count)) * q.Frame.Displacement
		}
	}
	if a.net == 0 {
		if p.req.Frame.Displacement == 0 {
			p.assume(noDisplacement)
		}
		a.net, a.source = a.fromOutside, "from the outside size and the wall"
	}
	if !(a.net > 0) {
		return a, fmt.Errorf("%s: neither its net volume nor its outside with its wall is known", b.Name)
	}
	return a, nil
}

// noDisplacement is said where the net air follows from a box's size and the driver's share of it is not stated.
const noDisplacement = "the driver takes no air inside the box: its displacement is not stated, and the true net air is less by it"

// taken is the air that the ports displace inside the box, board of the wall's thickness round a slot.
func (r ReadyPort) taken(wall float64) float64 {
	n := float64(max(1, r.Count))
	long := math.Max(0, r.Length-wall)
	if r.Diameter > 0 {
		return n * circleArea(r.Diameter+2*portWallGuess) * long
	}
	if r.Height > 0 {
		return n * (r.Height + wall) * r.Width * long
	}
	return 0
}

func (r ReadyPort) area() float64 {
	if r.Diameter > 0 {
		return circleArea(r.Diameter)
	}
	return r.Height * r.Width
}

// acting is the length that acts, m: mouth to mouth, less what flared ends take off.
func (r ReadyPort) acting() float64 { return r.Length - 2*shape.FlareCut(r.Flare, r.Diameter/2) }

// ends are the corrections in metres, exactly as the box's ends are stated.
func (r ReadyPort) ends(boxSection float64) [2]float64 {
	var out [2]float64
	for i, e := range r.Ends {
		if e == EndUnstated {
			e = []EndKind{EndFlush, EndFree}[i]
		}
		out[i] = r.end(e, boxSection)
	}
	return out
}

func (r ReadyPort) end(e EndKind, boxSection float64) float64 {
	if r.Diameter == 0 {
		walls := map[EndKind]int{EndWall: 1, EndCorner: 2}[e]
		return thielesmall.EndSlot(r.Height, r.Width, walls)
	}
	a := r.Diameter / 2
	switch {
	case e == EndFree:
		return thielesmall.EndFree(a)
	case e == EndNear && boxSection > 0:
		return thielesmall.EndNear(a, boxSection)
	}
	return thielesmall.EndFlush(a)
}

// impliedBore is the bore that stands for a port of which only the tuning is claimed: the largest stock tube that tunes
// the box with a length that a box of that volume could hold, its edge if it were a cube. ok is false when none does.
func (p *rig) impliedBore(volume, tuning float64) (r ReadyPort, ok bool) {
	edge := math.Cbrt(volume)
	for _, d := range p.ducts() {
		if d.count != 1 || d.isSlot() {
			continue
		}
		try := ReadyPort{Count: 1, Diameter: d.bore, Tuning: tuning}
		e := try.ends(0)
		length, fits := thielesmall.PortLength(p.air, volume, tuning, d.area(), 1, e[0]+e[1])
		if fits && length > 0 && length <= edge {
			try.Length = length
			r, ok = try, true
		}
	}
	return r, ok
}
