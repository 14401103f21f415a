package design

import (
	"cubby/internal/cavity"
	"cubby/internal/nest"
	"cubby/internal/panels"
	"cubby/internal/search"
	"cubby/internal/thielesmall"
	"cubby/internal/work"
)

// Basis is what every answer about a job with a driver rests on.
type Basis struct {
	Request      Request
	Air          thielesmall.Air
	DriverSingle thielesmall.Driver
	Driver       thielesmall.Driver // as wired
	Findings     []thielesmall.Finding
	DriveVolts   float64
	FullVolts    float64 // rms at the amplifier's limit, sqrt(power x into); 0 unknown
	Assumptions  []string
}

// basis is that of the answer; assumptions are those that were made up to now.
func (p *rig) basis() Basis {
	return Basis{*p.req, p.air, p.single, p.set, p.findings, p.drive, p.volts, p.assumptions}
}

// Result is everything that a job's report says. Every number in print comes from here.
type Result struct {
	Basis
	Designs     []Design       // best first; the first is the one that is built; then those that differ from it
	Shapes      []ShapeOffer   // what the space gives, in order of workshop effort
	Ladder      string         // what a section with fewer corners loses; empty: nothing
	Tradeoff    []SizeTradeoff // of size, by kind
	Spread      *Spread        // of the first design; nil without one
	Room        *cavity.Room   // the space made ready
	Outcomes    []Outcome      // one per kind considered, found or not
	Warnings    []string       // that hold for the job whatever the design
	SearchNotes []string
}

// Outcome says how the search for one kind of box ended.
type Outcome struct {
	Kind   Kind
	Status string // "found" "limited" "impossible"
	Reason string // limited by what, impossible because of what; one sentence
}

// Design is one box that can be built, with all that follows from it.
type Design struct {
	Offer
	Sound
	Judgement
	Standing
	Carcass
	Warnings []string

	candidate search.Candidate
}

// Offer is why a design is offered.
type Offer struct {
	Rank      int
	Because   string // "best" "other kind" "quiet port" "smallest" "lowest"
	Score     float64
	ScoreText string // what Score means, in words
	Tradeoff  string // against the first design: litres, Hz, dB, bevels; empty for the first
}

// Sound is how a box plays.
type Sound struct {
	Kind       Kind
	Circuit    *thielesmall.Circuit // with the amplifier's filters; nil when the box's acoustics cannot be worked out
	Figures    thielesmall.Figures
	Port       *PortDesign     // nil: none
	Radiator   *RadiatorDesign // nil: none
	Evaluation search.Evaluation
	Curves     []CurvePoint
	Fitting    Fitting // of a ready-made box what is known without the wood: the least impedance and the vehicle
}

// Judgement is what the checks find of a box.
type Judgement struct {
	Checks      []Check
	Verdict     Verdict
	VerdictText string
	Carry       cavity.Carry
	CarryText   string
}

// Standing is where a box stands in the space and how it is got at.
type Standing struct {
	Placed     cavity.Placed // where it stands and what it asks of the shop
	Beside     string        // what in the space keeps it from more of the width; empty: nothing
	RunnerUp   string        // of the first design: the place that lost, and why; empty: none
	StickTests []cavity.StickTest
	Access     Access
}

// Carcass is what a box is made of.
type Carcass struct {
	Box        *panels.Box
	Sheets     *nest.Layout
	SheetStock []nest.Stock // the stock that Sheets' Stock indexes
	Work       *work.Plan   // of the design that is built; nil for the others
	Mass       float64      // kg, board and drivers
}

// ShapeOffer says what one shape of the space would hold as a sealed box.
type ShapeOffer struct {
	Kind     string // "rectangle" "5 corners along the depth" "rectangle round tunnel"
	Bevels   int    // corners that are not square
	Boards   int
	Minutes  float64 // of the shop
	Net      float64 // m3, without a port
	GainText string  // against the shape before it, in words; empty for the first
}

// TrimStep is a length of the port, m, and the tuning of the finished box with it, Hz.
type TrimStep struct{ Length, Tuning float64 }

// PortDesign is the port as designed: Count equal ducts.
type PortDesign struct {
	PortSize
	Length             float64 // m, along the centre line
	Effective          float64 // m, that acts: less at sharp bends, ends not counted
	EndOuter, EndInner float64 // m of correction
	SpeedAtLimit       float64 // peak m/s at the amplifier's power, 20 Hz up
	SpeedAt            float64 // Hz
	RuleOfThumbArea    float64 // m2, all ports together, common practice
	MillimetrePerHertz float64 // change of length per Hz of tuning, m/Hz (negative)
	Supply             float64 // m that the port is cut over, to be trimmed on the sweep
	Trim               []TrimStep
	Implied            bool // stands for a port of which only the tuning is claimed
}

// PortSize is how many ports there are, and their section.
type PortSize struct {
	Count         int
	Bore, Outside float64 // m, tube; 0 slot
	Height, Width float64 // m, slot
	Area          float64 // m2 of one
}

// CurvePoint is one frequency of a design's curves at the job's drive.
type CurvePoint struct {
	thielesmall.Point
	CabinLevel float64 // dB; NaN when no vehicle is given
	MaxLevel   float64 // dB; NaN where it is not stated
	LimitedBy  thielesmall.Cause
	MaxWarm    float64 // dB, MaxLevel with a coil 100 K warmer; NaN where MaxLevel is
	LevelLow   float64 // dB, the 10 % mark of Level over the spread; NaN where it was not drawn
	LevelHigh  float64 // dB, the 90 % mark
}

// Check is one row of the grade table.
type Check struct {
	Name         string
	Status       panels.Status
	Value, Limit float64 // SI, in the unit that Unit names ("m", "Hz", "" ...)
	Unit         string
	Note         string          // one sentence with the numbers in it
	Setting      string          // what makes a marginal row pass; empty otherwise
	Told         bool            // the row informs: there was nothing to check
	wood         *panels.Message // of a check of the wood in a brief search: the note, not yet in words
}

// Verdict is the sum of the checks.
type Verdict string

// The verdicts.
const (
	Suits             Verdict = "suits"
	SuitsWithCautions Verdict = "suits with cautions"
	SuitsAsChecked    Verdict = "suits as far as checked"
	DoesNotSuit       Verdict = "does not suit"
)

// Accepts reports whether the verdict is a yes.
func (v Verdict) Accepts() bool {
	return v == Suits || v == SuitsWithCautions || v == SuitsAsChecked
}

// SizeTradeoff is how a kind of box does at each net volume, from the least to the most that is feasible, by the model.
type SizeTradeoff struct {
	Kind   Kind
	Points []SizePoint
}

// Spread is what the tolerances of driver, box and losses make of the figures of a design, 10 and 90 % marks.
type Spread struct {
	search.Spread
	Frequencies []float64 // of Level, Hz
}

// Fitting is what the fitter sets on the amplifier and should know on site.
type Fitting struct {
	LowestImpedance                          float64   // ohm, 20-200 Hz
	LowestAt                                 float64   // Hz
	PowerToXmax                              []PowerAt // 20, 30, 40 Hz, without filters
	Cabin                                    CabinTuning
	Sag                                      float64 // m, horizontal cone only
	HandoverLevel, HandoverPhase, HandoverAt float64 // dB re the passband, degrees, Hz
	TuningBand                               [3]Band // cold, hot, high
	NarrowGap                                string  // what the air before a cone at a closed side does; empty: nothing
	BoxMode                                  float64 // Hz, lowest standing wave inside
}

// PowerAt is the power into the nominal impedance that reaches Xmax at a frequency.
type PowerAt struct{ Frequency, Power float64 }

// Band is fc or fb in other air.
type Band struct {
	Name      string
	Frequency float64
}
