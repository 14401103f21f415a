package panels

import (
	"fmt"
	"math"
	"strings"
)

// boardKind is what is known of a kind of board.
type boardKind struct {
	words   []string // any of these in the board's name, lower case
	name    string
	density float64 // kg/m3
	modulus float64 // Pa, the lower of what is usually stated along and across, for a cautious resonance
	plies   bool
	source  string
}

// boards is the table of boards, the first match counts. Densities and moduli are what the trade usually states; a mill's
// own figure is better and can be given in the job.
var boards = []boardKind{
	{[]string{"mdf", "fibreboard", "fiberboard"}, "MDF", 750, 2.5e9, false,
		"mill sheets 740-760 kg/m3; modulus 2.5-4 GPa in materials tables, the lower taken"},
	{[]string{"birch"}, "birch plywood", 680, 6.8e9, true,
		"handbook of birch plywood, from memory: about 680 kg/m3, 6.8-7.6 GPa across the face grain"},
	{[]string{"ply"}, "plywood", 550, 5e9, true,
		"common practice: 400-600 kg/m3; modulus from memory, the weaker direction"},
	{[]string{"particle", "chipboard"}, "particle board", 650, 2e9, false, "common practice"},
	{[]string{"hdf"}, "HDF", 850, 3.5e9, false, "common practice"},
	{[]string{"osb"}, "OSB", 620, 1.4e9, false, "common practice; the weaker direction"},
	{[]string{"pine", "spruce", "fir", "softwood"}, "softwood", 480, 8e9, false, "common practice; along the grain"},
}

// unknownBoard stands in for a board whose name says nothing.
var unknownBoard = boardKind{name: "unknown board", density: 750, modulus: 2.5e9, source: "board not known: taken as MDF"}

// poisson is Poisson's ratio of the board, as the plate tables take it.
const poisson = 0.3

func boardOf(name string) boardKind {
	lower := strings.ToLower(name)
	for _, b := range boards {
		for _, word := range b.words {
			if strings.Contains(lower, word) {
				return b
			}
		}
	}
	return unknownBoard
}

// AreaMass is the mass of a square metre of a board of the given name and thickness (m), in kg/m2: of the stated density,
// or of what the trade usually states for its kind.
func (w Wood) AreaMass(board string, thickness float64) float64 {
	if board != w.Board {
		w = Wood{Board: board}
	}
	rho := w.density()
	return rho * thickness
}

// density gives the board's density in kg/m3.
func (w Wood) density() float64 {
	if w.Density > 0 {
		return w.Density
	}
	return boardOf(w.Board).density
}

// densitySource says where that is from.
func (w Wood) densitySource() string {
	if w.Density > 0 {
		return "as stated"
	}
	b := boardOf(w.Board)
	return fmt.Sprintf("%s %.0f kg/m3 (%s)", b.name, b.density, b.source)
}

// PlateResonance gives the first bending resonance in Hz of a rectangular plate a x b, h thick (m), of modulus e (Pa) and
// density rho (kg/m3), all four edges simply supported:
//
//	f = (pi/2) (1/a^2 + 1/b^2) sqrt(D/(rho h)),  D = e h^3 / (12 (1 - nu^2)),  nu = 0.3
//
// Real glued edges lie between simply supported and clamped, so this is the cautious end: clamped edges give 1.8 to 2.1
// times as much. Leissa, "The free vibration of rectangular plates", J. Sound Vib. 31 (1973) 257.
// It is 0 unless every argument is positive and finite.
func PlateResonance(a, b, h, e, rho float64) float64 {
	for _, x := range []float64{a, b, h, e, rho} {
		if !(x > 0) || math.IsInf(x, 1) {
			return 0
		}
	}
	d := e * h * h / (12 * (1 - poisson*poisson)) // D/h
	return math.Pi / 2 * (1/(a*a) + 1/(b*b)) * math.Sqrt(d/rho)
}

// Fibreboard reports whether a board of that name is one whose edges drink glue.
func Fibreboard(name string) bool {
	b := boardOf(name)
	return b.name == "MDF" || b.name == "HDF"
}
