package work

import (
	"cubby/internal/nest"
	"cubby/internal/panels"
)

// Plan is the work on one box.
type Plan struct {
	List   []int // panels in order of their marks
	Cuts   []Cut // in order of work
	Setups int   // how many times a machine is set
	Steps  []Step
	Fill   Fill
	Screws []panels.ScrewRow
	Bill   []Item
	Checks []Measure
}

// Tool is what a cut is made with.
type Tool string

// The tools, in order of work.
const (
	Track  Tool = nest.Track
	Rip    Tool = nest.Rip
	Cross  Tool = nest.Cross
	Bevel  Tool = "BEVEL" // saw bench with the blade tilted
	Taper  Tool = nest.Taper
	Notch  Tool = "NOTCH"   // stopped cuts into an inner corner
	Rabbet Tool = "RABBET"  // router or dado set
	Bore   Tool = "BORE"    // round openings and holes
	CutOut Tool = "CUT OUT" // openings with straight sides, also out of an edge: jigsaw or saw
)

// Face is a face of a panel.
type Face int8

// The faces.
const (
	NoFace Face = iota
	OuterFace
	InnerFace
)

// String gives the word used in machine output.
func (f Face) String() string { return [...]string{"", "outer", "inner"}[f] }

// Piece is something that a cut takes or makes.
type Piece struct {
	Kind  PieceKind
	Panel int    // of a Board: index of the panel; else -1
	Part  int    // of a Board that is cut several times: from 1; 0: the only one
	Name  string // of all others, as the layout calls it: "sheet 1", "piece 1.2", "offcut 3"
}

// PieceKind says what a piece is.
type PieceKind int8

// The kinds of piece.
const (
	Nothing PieceKind = iota // the kerf takes what is left
	Board                    // a panel's blank or the panel
	Rest                     // still to be cut: a sheet or a piece
	Offcut
	Waste
)

// Cut is one row of the table of cuts.
type Cut struct {
	No, Setup int // from 1
	Tool      Tool
	Sheet     int // of a square cut: index into the layout's sheets; else -1
	SheetNo   int // its number there
	Setting
	Take  Piece
	Makes [2]Piece
	Keep  int   // index into Makes; -1: both
	At    Edge  // the edge that is bevelled, rabbeted or cut
	Holes []int // of a row of holes: indices into the panel's Holes
	Marks []Mark
}

// Setting is how piece and machine stand to each other.
type Setting struct {
	Reference Edge    // at the fence or stop
	Fence     float64 // m: fence or stop; of a slant: at its start; of a rabbet: its width on the blank
	Far       float64 // m: of a slant: at its end
	Rough     bool    // measured from a factory edge, decides no size
	Tilt      float64 // rad from square, not negative
	Up        Face    // the face that looks up
	Run       float64 // m, of a bevel
	Width     float64 // m, of a rabbet when all is trimmed
	Depth     float64 // m, of a rabbet, or of a hole that does not go through
}

// Edge is an edge of a sheet or of a panel.
type Edge struct {
	Side  string // of a sheet: left right bottom top; empty: a panel's
	Sawn  bool   // of a sheet: a saw made it
	Index int    // of a panel's edge: index into Edges, of an outline's: the side; -1 none
}

// Mark is a caution that a row needs.
type Mark string

// The marks; those of square cuts come with the layout.
const (
	PushStick  Mark = nest.MarkPushStick
	PushBlock  Mark = nest.MarkPushBlock
	FreeSide   Mark = nest.MarkFreeSide
	TooNarrow  Mark = nest.MarkNarrow
	Sled       Mark = nest.MarkSled
	HoldDown   Mark = nest.MarkHoldDown
	Strip      Mark = nest.MarkStrip
	Shave      Mark = nest.MarkShave
	LeftOver   Mark = nest.MarkLeftover
	BeyondSaw  Mark = "beyond the saw's tilt: stand it in a tall carriage, or plane to the line"
	DeepCut    Mark = "deeper than the blade reaches: two passes"
	Gauge      Mark = "on the line, no edge faces it: set out from the drawing"
	TestPiece  Mark = "test piece"
	Feather    Mark = "sharp arris: not under the fence"
	TwoPasses  Mark = "two passes"
	StopShort  Mark = "stop short"
	BackBoard  Mark = "backing board"
	HoldSlug   Mark = "hold the slug"
	AfterGlue  Mark = "after gluing and trimming"
	TwoPeople  Mark = "two people"
	HandsClear Mark = "hands 150 mm away"
)

// Step is one step of the assembly.
type Step struct {
	Kind   StepKind
	Panels []int     // that it puts on
	On     []Contact // what they touch that stands already
	Cuts   []int     // numbers of the cuts that it means
}

// Contact is a place where a panel is joined to one that stands.
type Contact struct {
	Panel, On int
	Edge      int // of Panel, index into Edges; -1: face to face
	Joint     Joint
}

// Joint is how a panel goes against another.
type Joint int8

// The joints as a step sees them.
const (
	StopsOn Joint = iota
	RunsPast
	MitredWith
	RabbetedTo
	FaceToFace
	OffBy // stands off, for the mouth of a slot
)

// StepKind says what a step does.
type StepKind int8

// The steps.
const (
	Laminate StepKind = iota // boards glued face to face
	DryFit
	OpenUp  // openings while the panels lie flat
	LayDown // the first panel, flat on the bench
	GlueOn  // a panel on what stands
	OnBench // a brace on an end that is glued on later
	Fold    // a mitred wrap, taped flat and folded
	Diagonals
	Seal
	SetOn // the wrap on its first end
	SetIn // tubes
	Wire  // cable or terminal
	DryFill
	Close    // the last end
	Flush    // trim oversize ends
	OpenLate // openings in what is trimmed
	CleanUp
	Frame   // the frame under a removable face
	ScrewOn // that face
	LeakTest
	FitDriver
	FitRadiator
	HandBack
)

var stepWords = [...]string{"laminate", "dry fit", "open", "lay down", "glue on", "glue on the bench", "fold", "diagonals", "seal", "set on", "set in", "wire", "dry fill",
	"close", "trim flush", "open late", "clean up", "frame", "screw on", "leak test", "fit driver", "fit radiator", "hand back"}

// String gives the word used in machine output.
func (k StepKind) String() string { return stepWords[k] }

// String gives the word used in machine output.
func (j Joint) String() string {
	return [...]string{"stops on", "runs past", "mitred with", "rabbeted to", "face to face", "stands off"}[j]
}

// Fill is the measurement of the air before the last end goes on: the box stands on its first end, open end up.
type Fill struct {
	Volume  float64 // m3, up to the inner face of the last end, what fills counted
	Driver  float64 // m3, of it: what drivers and radiators take when they are in
	Opening float64 // m3, of it: in the thickness of boards that stand, whose openings are taped from outside
	Plugged float64 // m3: tubes that are plugged at their inner mouth and do not fill
	Taped   []int   // panels with openings that are taped from outside
	Plugs   int     // tubes to be plugged
	Share   float64 // by which the reading may differ
}

// Item is a line of the bill.
type Item struct {
	Kind   ItemKind
	Count  int     // pieces
	Length float64 // m, of what is bought by length
	Area   float64 // m2, of what is bought by area
	Size   float64 // m: diameter or thickness that tells which
	Long   float64 // m: length of a screw or tube
	Panel  int     // where it goes, -1
	Stock  int     // of a Sheet: index into the stock
}

// ItemKind is a line of the bill; a job prices it by this word.
type ItemKind string

// The items.
const (
	Sheets    ItemKind = "board"
	Screws    ItemKind = "screws"
	Glue      ItemKind = "glue"
	Sealant   ItemKind = "sealant"
	Drivers   ItemKind = "driver"
	Radiators ItemKind = "radiator"
	Fasteners ItemKind = "fasteners"
	Gasket    ItemKind = "gasket"
	FaceParts ItemKind = "face"
	FaceFoam  ItemKind = "face gasket"
	PortTube  ItemKind = "port"
	SaddleFor ItemKind = "saddle"
	Flange    ItemKind = "flange"
	Terminal  ItemKind = "terminal"
	Cable     ItemKind = "cable"
	Fixing    ItemKind = "fixing"
	Covering  ItemKind = "covering"
)

// Measure is something that the shop measures and hands back.
type Measure struct {
	Kind  MeasureKind
	Panel int     // -1: the box
	Value float64 // SI, as designed
	Slack float64 // by which it may differ, SI; 0: not more than Value
}

// MeasureKind says what is measured.
type MeasureKind string

// The measures.
const (
	OutsideWidth    MeasureKind = "outside width"
	OutsideDepth    MeasureKind = "outside depth"
	OutsideHeight   MeasureKind = "outside height"
	BoardThickness  MeasureKind = "board"
	DiagonalUp      MeasureKind = "diagonal, front bottom to back top"
	DiagonalDown    MeasureKind = "diagonal, front top to back bottom"
	FillVolume      MeasureKind = "dry fill"
	OpeningDiameter MeasureKind = "driver opening"
	RadiatorOpening MeasureKind = "radiator opening"
	PortLength      MeasureKind = "port length"
	PortSize        MeasureKind = "port height or bore"
	Tight           MeasureKind = "leak test"
)

// Sawing plans the cuts alone, of panels that need not be a box.
func Sawing(b *panels.Box, l *nest.Layout) *Plan {
	p := &Plan{}
	for i := range b.Panels {
		p.List = append(p.List, i)
	}
	byMark(b, p.List)
	p.cuts(b, l)
	return p
}

// Make plans the work on a box whose boards are laid out. A layout may be nil: then there are no square cuts.
func Make(b *panels.Box, l *nest.Layout) *Plan {
	p := Sawing(b, l)
	p.Screws = b.ScrewRows()
	p.Steps = steps(b, p.Cuts)
	p.Fill = fill(b, p.Steps)
	p.Bill = bill(b, l, p.Screws)
	p.Checks = checks(b, p.Fill)
	return p
}
