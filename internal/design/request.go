package design

import (
	"cubby/internal/cavity"
	"cubby/internal/nest"
	"cubby/internal/panels"
	"cubby/internal/thielesmall"
	"cubby/internal/unit"
)

// Request is a whole job: what was measured, what is at hand and what is wished for. SI units throughout.
// A zero field means that the job does not say; Run states every assumption that it makes in its place.
type Request struct {
	Title, Date, Contact, Author, Revision string
	Sample                                 []string    // parts of the job that are still those of the sample that it was begun from
	Units                                  unit.System // the job's own units, for print

	Driver     thielesmall.Spec
	Frame      panels.Driver // the same driver as a thing of metal
	DriverFile string        // as written in the job; empty when inline

	Amplifier *Amplifier
	Vehicle   *Vehicle
	Air       thielesmall.Conditions

	Passive *Passives // radiators on hand; nil: none

	Space   *Space
	Placing *PlacingRule // nil: the defaults
	Mount   Mount
	Wood    panels.Wood
	Corners []panels.CornerWish
	Stock   []nest.Stock
	Saw     Saw
	Aim     Aim
	Kinds   []Kind // candidates wished for; empty: sealed and vented, and passive where radiators are on hand
	Limits  Limits
	Boxes   []ReadyBox // ready-made ones to be judged; empty for a design
	Drive   Drive

	Terminal *panels.Plate // nil: a cable hole
	Fixings  []panels.FixingPoint
	Flange   panels.Flange // of port tubes
	Port     PortWish
	Grid     Grid

	Projection Projection
	Prices     map[Item]float64 // of all that the bill of materials lists under an item, in the job's money; absent: not stated
}

// Amplifier is the source. Power and Into are 0 when only filters are stated.
type Amplifier struct {
	Power, Into, MinimumLoad float64  // W, ohm, ohm (0: Into)
	Ratings                  []Rating // as its sheet lists them; Power and Into follow from them and the load as wired
	Source, Leads            float64  // ohm; leads both ways together
	Filters                  []thielesmall.Filter
	NoHighPass               bool     // it has none, and none is advised
	Assumed                  []string // what the filters' order and type were taken to be, in words
}

// Vehicle is the cabin: its length, or a measured curve; and how far the ear is from the loudspeakers.
type Vehicle struct {
	CabinLength float64 // m
	Leak        float64 // Hz; 0: 20
	Measured    []GainPoint
	Source      string  // file of the measured curve as written
	Fronts, Sub float64 // m, from the ear to the front speakers and to the box; 0: not stated
}

// GainPoint is one row of a measured cabin curve.
type GainPoint struct{ Frequency, Gain float64 } // Hz, dB

// Space is the measured space with the opening that leads to it.
type Space struct {
	*cavity.Space
	Passage *cavity.Opening
	Shrink  Shrink // what gives way when there is more air than wanted; empty: what asks least of the shop
	Known   *Known // what was found before; may be nil
}

// Shrink is the dimension of the box that gives way when the space has more air than is wanted.
type Shrink string

// The dimensions. The floor side and the front stay, unless the width gives way.
const (
	ShrinkWidth  Shrink = "width"
	ShrinkDepth  Shrink = "depth"
	ShrinkHeight Shrink = "height"
)

// PlacingRule weighs what a box asks of a shop against how it sounds.
type PlacingRule struct {
	Minute float64 // dB of the score that a shop minute costs
	cavity.Weights
}

// Mount says where the drivers go and what they look at.
type Mount struct {
	Face       string // front back top bottom left right
	Count      int    // 0: 1
	Wiring     thielesmall.Wiring
	AirInFront float64 // m, from the flange plane to the obstacle; 0: not stated
	Surround   float64 // height of the surround above the flange, m; 0: not stated
	panels.Mounting
}

// PortWish is what is on hand for ports, and where they may go; zero fields: the search chooses.
type PortWish struct {
	Bores       []float64 // inside diameters of tubes, m; none: those that are sold
	Flare, Edge float64   // m, radius of a tube's flared ends; radius to which mouths are rounded
	Face        string    // with the mouths: ports are tubes then
	At          *panels.Spot
}

// Saw is the shop's saw: sizes in metres.
type Saw struct {
	Kerf, Trim, RoundTo                   float64
	NoTrim                                bool // factory edges are good: a Trim of 0 is meant
	Depth, DepthAt45                      float64
	MaxTilt                               float64 // rad
	HandleLength, HandleWidth, HandleMass float64
}

// Aim names what the best design is, see Score.
type Aim string

// The four aims.
const (
	Flat    Aim = "flat"
	Low     Aim = "low"
	Loud    Aim = "loud"
	Compact Aim = "compact"
)

// Kind is a kind of box.
type Kind string

// The kinds of box.
const (
	Sealed  Kind = "sealed"
	Vented  Kind = "vented"
	Passive Kind = "passive"

	BandPass Kind = "bandpass" // of fourth order: judged, never designed
)

// Limits are the pass limits that a job may set for itself; zero (or nil): the grade table's.
type Limits struct {
	PortSpeed float64    // m/s
	Qtc       [2]float64 // of a sealed box, least and most; equal: the one that is wished for
	Lowest    float64    // Hz, from where excursion and port speed are judged
	Peak, Dip float64    // dB
	Volume    [2]float64 // net volume wished for, least and most, m3
	Tuning    [2]float64 // of a vented box, least and most, Hz
	Panels    float64    // Hz: panels whose first resonance is lower are braced; 0: twice the low-pass
}

// Drive is the level at which curves are stated.
type Drive struct {
	Mode  string // "" or "volts", "1W", "amp"
	Volts float64
}

// Grid is the logarithmic frequency grid of the curves; zero fields: 10 to 300 Hz, 300 points.
type Grid struct {
	From, To float64
	Points   int
}
