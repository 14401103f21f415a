package nest

// Layout is where every piece lies and how it is cut out.
type Layout struct {
	Sheets     []Sheet
	Unplaced   []Unplaced
	LowerBound int     // sheets: no layout of the placed parts uses fewer
	LowerCost  float64 // no layout of the placed parts costs less
	Proved     bool    // nothing costs less (without prices: no fewer sheets do); false with parts left over for want of stock
	Cost       float64 // of the sheets used
	Settings   int     // distinct fence settings over the whole job
	Batches    []Batch // cuts grouped by setting over the whole job, in order of work
}

// Unplaced is a piece that could not be cut and why.
type Unplaced struct {
	Part string
	Why  string
}

// Sheet is one sheet of stock with what is cut from it.
type Sheet struct {
	Name          string // "sheet 1"
	Stock         int    // index into the given stock
	Width, Height Um     // along x, along y
	Placements    []Placement
	Offcuts       []Offcut
	Cuts          []Cut
	Waste         float64 // share of the area that is neither part nor reusable offcut

	root   *slab // what the cuts follow
	trim   Um
	mass   float64          // kg/m2 of the board; 0: not known
	slants map[string]slant // by placement
}

// Placement is one rectangle of a sheet: its extents as laid, origin lower left, outer faces up.
type Placement struct {
	Panel         string // name or name#k
	X, Y          Um
	Width, Height Um
	Turned        bool
	Rotation      int        // 0 90 180 270
	Parts         []PairPart // a head-to-tail pair: two parts in one placement
}

// PairPart is one of the two parts of a head-to-tail pair.
type PairPart struct {
	Panel   string
	Outline [][2]Um // sheet frame
	Flipped bool    // turned over face for face: its outer face is the back of the board
}

// Offcut is a rectangle left over.
type Offcut struct {
	Name          string
	X, Y          Um
	Width, Height Um
	Reusable      bool // at least 100 x 300 mm
}

// The tools of a cut.
const (
	Track = "TRACK" // guided saw on a bed: pieces too large for one person to hold
	Rip   = "RIP"   // saw bench, the reference edge along the fence
	Cross = "CROSS" // cross-cut on a gauge or sled, the reference edge against a stop block
	Taper = "TAPER" // slanted cut, track saw on the line or taper sled
)

// Cut is one cut of the sequence, in an order in which it can be done. A cut of direction "x" runs along x, and its
// reference edge is "bottom" or "top"; one of direction "y" runs along y with reference "left" or "right". For a
// "slant" Setting is the distance from the reference edge at the start of the line (At[0]).
type Cut struct {
	No        int
	Tool      string // TRACK RIP CROSS TAPER
	Piece     string
	Direction string // x y slant
	Fence
	At     [2][2]Um // the two ends of the cut line (near side of the kerf), sheet frame, for drawing
	Kerf   Um
	Makes  [2]string // the piece at the reference edge, then the piece beyond the kerf; "waste": thrown away; "": nothing is left
	Keep   string    // the piece that must come out to size; "": neither, a rough cut
	Safety string    // mark: "push stick", "sled", ... or ""
	Rough  bool      // measured from a factory edge: it decides no size of a part

	onBench
}

// Fence is how the fence or stop stands for a cut.
type Fence struct {
	Reference string // left right bottom top: the edge against the fence
	Setting   Um     // from that edge to the near side of the kerf
	Shown     Um     // Setting to the nearest step of the saw
	Far       Um     // slanted cuts: the distance from the same edge at the end of the line (At[1])
}

// onBench is what a cut is on the bench: what it takes, and what is the matter with it.
type onBench struct {
	from     rect // the piece that is cut
	handy    bool // one person can hold it
	maker    int  // number of the cut that made its piece, 0 none
	shave    bool // takes less than a kerf
	leftover bool // what is beyond the kerf is a part, and nothing sets its size
	sliver   bool // leaves a strip of 1 to 10 mm
	turned   bool // set so that a narrow piece is on the free side of the blade
}

// Batch is every cut made at one setting.
type Batch struct {
	Tool    string
	Setting Um
	Cuts    []CutRef
}

// CutRef names a cut: index of the sheet in Layout.Sheets, and the cut's number.
type CutRef struct{ Sheet, No int }
