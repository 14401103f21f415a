package nest

import (
	"errors"
	"fmt"
	"regexp"
	"strings"
)

// Um is a length in micrometres. Every size in this package is one: sums and comparisons are exact.
type Um = int64

const (
	mm Um = 1000

	// MaxParts is the largest number of pieces, counts included, that Lay accepts.
	MaxParts = 5000
	// MaxSize is the largest side of a part or sheet, 30 m: no board is longer, and areas stay exact below it.
	MaxSize Um = 30_000 * mm
	// MinTrimPlate is the least width of waste beside the kerf of a trim cut, so that the saw's plate stays buried
	// in board on both sides and does not wander (common practice).
	MinTrimPlate = 1 * mm
)

// Part is a rectangle wanted so many times.
type Part struct {
	Name          string
	Count         int
	Board         string // parts and stock of different boards or thicknesses never mix
	Thickness     Um
	Length, Width Um
	Grain         string  // "length": length along the sheet's grain, "width": width along it, "": may be turned
	Outline       [][2]Um // sloped end panels: outline within Length x Width, for head-to-tail pairing; nil: plain
	PairWith      string  // name of the piece that may share a rectangle (its own name with Count 2); "" none
}

// Stock is a kind of sheet to cut from.
type Stock struct {
	Name          string
	Board         string
	Thickness     Um
	Length, Width Um
	Count         int // 0: as many as needed
	Price         float64
	Offcut        bool    // used first
	Trim          Um      // on every factory edge, kerf included; -1: the saw's
	AreaMass      float64 // of the board, kg/m2; 0: not known
}

// Saw is what the workshop cuts with.
type Saw struct {
	Kerf, Trim                Um      // Trim: from the factory edge to the clean edge, kerf included; 0 or at least Kerf + 1 mm
	Step                      Um      // fence settings are printed to this step; 0: exact
	HandleLength, HandleWidth Um      // pieces one person can hold; 0: 1200 x 800 mm
	HandleMass                float64 // and their mass, kg; 0: 20 kg
}

// Options steers the search. The zero value is ready to use.
type Options struct {
	NoTurn bool // no part is turned, except as its grain demands
	Budget int  // work units (insertion places looked at) for the search of each board; 0: default
	AsLaid bool // no other order of cuts is tried that comes back to fewer settings of the saw

	Done <-chan struct{} // closed: Lay gives up at once with ErrStopped; nil: it goes on to the end
}

// ErrStopped is what Lay returns when Options.Done was closed before the layout was found.
var ErrStopped = errors.New("stopped before the layout was found")

// A stopper ends the search from deep inside it: ask panics once done is closed, and stopped turns that into ErrStopped.
type stopper <-chan struct{}

type stopping struct{}

func (s stopper) ask() {
	select {
	case <-s:
		panic(stopping{})
	default:
	}
}

// stopped is deferred where the search was begun.
func stopped(l **Layout, err *error) {
	switch p := recover().(type) {
	case nil:
	case stopping:
		*l, *err = nil, ErrStopped
	default:
		panic(p)
	}
}

// InputError is an input that no layout can have. It names the part or stock and the field.
type InputError struct {
	Kind  string // "part", "stock", "saw" or "parts"
	Name  string // of the part or stock
	Field string
	Value any
	Want  string // what would be right
}

// Error says what is wrong in one line.
func (e *InputError) Error() string {
	where := e.Kind
	if e.Name != "" {
		where += fmt.Sprintf(" %q", e.Name)
	}
	value := e.Value
	if u, ok := value.(Um); ok {
		value = showMM(u) + " mm"
	}
	return fmt.Sprintf("%s: %s: %v: %s", where, e.Field, value, e.Want)
}

// showMM formats a length in millimetres with as many decimals as it needs.
func showMM(u Um) string {
	sign := ""
	if u < 0 {
		sign, u = "-", -u
	}
	s := fmt.Sprintf("%s%d.%03d", sign, u/1000, u%1000)
	return strings.TrimRight(strings.TrimRight(s, "0"), ".")
}

func validate(parts []Part, stock []Stock, saw Saw, o Options) error {
	if err := saw.validate(); err != nil {
		return err
	}
	if o.Budget < 0 {
		return &InputError{"parts", "", "budget", o.Budget, "must not be negative"}
	}
	for _, s := range stock {
		if err := s.validate(saw); err != nil {
			return err
		}
	}
	total := 0
	names := make(map[string]bool, len(parts))
	for _, p := range parts {
		if err := p.Validate(); err != nil {
			return err
		}
		if names[p.Name] {
			return &InputError{"part", p.Name, "name", p.Name, "must be given to one part only"}
		}
		names[p.Name] = true
		if total += p.Count; total > MaxParts {
			return &InputError{"parts", "", "count", total, fmt.Sprintf("at most %d pieces in one job", MaxParts)}
		}
	}
	return nil
}

func (s Saw) validate() error {
	switch {
	case s.Kerf < 0 || s.Kerf > MaxSize:
		return &InputError{"saw", "", "kerf", s.Kerf, "must be zero or more, and smaller than the sheet"}
	case s.Step < 0:
		return &InputError{"saw", "", "step", s.Step, "must be zero or more"}
	case !(s.HandleMass >= 0):
		return &InputError{"saw", "", "handle mass", s.HandleMass, "must be zero or more"}
	case s.HandleLength < 0 || s.HandleWidth < 0:
		return &InputError{"saw", "", "handle", min(s.HandleLength, s.HandleWidth), "must be zero or more"}
	}
	return checkTrim("saw", "", s.Trim, s.Kerf)
}

func checkTrim(kind, name string, trim, kerf Um) error {
	if trim != 0 && (trim < kerf+MinTrimPlate || trim > MaxSize) {
		return &InputError{kind, name, "trim", trim,
			"must be 0 or at least the kerf + 1 mm = " + showMM(kerf+MinTrimPlate) + " mm"}
	}
	return nil
}

// uncut is one sheet of the stock before the first cut.
func (s Stock) uncut(saw Saw) Sheet {
	return Sheet{Width: s.Length, Height: s.Width, trim: s.trim(saw), mass: s.AreaMass}
}

func (s Stock) trim(saw Saw) Um {
	if s.Trim < 0 {
		return saw.Trim
	}
	return s.Trim
}

func (s Stock) validate(saw Saw) error {
	bad := func(field string, value any, want string) error {
		return &InputError{"stock", s.Name, field, value, want}
	}
	switch {
	case s.Length <= 0 || s.Length > MaxSize:
		return bad("length", s.Length, "must be greater than 0 and at most "+showMM(MaxSize)+" mm")
	case s.Width <= 0 || s.Width > MaxSize:
		return bad("width", s.Width, "must be greater than 0 and at most "+showMM(MaxSize)+" mm")
	case s.Thickness < 0:
		return bad("thickness", s.Thickness, "must not be negative")
	case s.Count < 0:
		return bad("count", s.Count, "must be 0 (as many as needed) or more")
	case !(s.Price >= 0 && s.Price <= 1e9):
		return bad("price", s.Price, "must be a number from 0 to 1e9")
	case saw.Kerf >= min(s.Length, s.Width):
		return bad("kerf", saw.Kerf, "must be smaller than the sheet")
	}
	if s.Trim < -1 {
		return bad("trim", s.Trim, "must be -1 (the saw's), 0 or more")
	}
	trim := s.trim(saw)
	if err := checkTrim("stock", s.Name, trim, saw.Kerf); err != nil {
		return err
	}
	if 2*trim >= min(s.Length, s.Width) {
		return bad("trim", trim, "leaves nothing of the sheet")
	}
	return nil
}

// reserved matches the names that cuts give to sheets, offcuts and pieces still to be cut.
var reserved = regexp.MustCompile(`^(waste|sheet \d+|offcut \d+|piece \d+\.\d+)$`)

// Validate says what is wrong with the part by itself: an *InputError, or nil.
func (p Part) Validate() error {
	bad := func(field string, value any, want string) error {
		return &InputError{"part", p.Name, field, value, want}
	}
	part, _ := PartOf(p.Name)
	switch {
	case strings.TrimSpace(p.Name) == "":
		return bad("name", "(empty)", "must be given")
	case part != p.Name:
		return bad("name", p.Name, "must not contain #, which numbers the pieces of one part")
	case reserved.MatchString(p.Name):
		return bad("name", p.Name, "is a name that the cut sequence uses for its own pieces")
	case p.Count <= 0:
		return bad("count", p.Count, "must be 1 or more")
	case p.Count > MaxParts:
		return bad("count", p.Count, fmt.Sprintf("at most %d pieces in one job", MaxParts))
	case p.Length <= 0 || p.Length > MaxSize:
		return bad("length", p.Length, "must be greater than 0 and at most "+showMM(MaxSize)+" mm")
	case p.Width <= 0 || p.Width > MaxSize:
		return bad("width", p.Width, "must be greater than 0 and at most "+showMM(MaxSize)+" mm")
	case p.Thickness < 0:
		return bad("thickness", p.Thickness, "must not be negative")
	case p.Grain != "" && p.Grain != "length" && p.Grain != "width":
		return bad("grain", p.Grain, `must be "length", "width" or empty`)
	}
	for _, q := range p.Outline {
		if q[0] < 0 || q[1] < 0 || q[0] > p.Length || q[1] > p.Width {
			return bad("outline", fmt.Sprintf("(%s, %s)", showMM(q[0]), showMM(q[1])), "must lie within length x width")
		}
	}
	return nil
}
