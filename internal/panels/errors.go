package panels

import "cubby/internal/unit"

// Reason says in one word why a box cannot be made as asked.
type Reason string

// The reasons.
const (
	BadInput     Reason = "input"     // a size is missing or impossible
	NoInside     Reason = "inside"    // the walls leave no air, or a wall no face
	UnlikeBoards Reason = "boards"    // nearly flat corner between boards of different thickness
	NoFace       Reason = "face"      // no such face
	NoFrame      Reason = "frame"     // the driver does not go on its face
	NoPort       Reason = "port"      // the port cannot be placed
	NoAir        Reason = "air"       // deductions take all the air
	NoLoose      Reason = "removable" // the face cannot be made removable
	NoRabbet     Reason = "rabbet"    // the board is too thin for a rabbet
	ManyPieces   Reason = "pieces"    // more pieces than a box may have
)

// BuildError is why a box cannot be made, with the numbers that a search can act on.
type BuildError struct {
	Reason       Reason
	Panel        string // the wall, end or face that it is about; may be empty
	Say          Message
	Value, Limit float64 // what there is and what is needed, m (or m3 for NoAir); 0, 0 when there is no such pair
	Reach        Reach   // NoPort, NoAir: which ports could be placed
}

// Error gives the sentence in metric units.
func (e *BuildError) Error() string { return e.Say.Text(unit.Metric) }

// Text gives the sentence in a system of units.
func (e *BuildError) Text(u unit.System) string { return e.Say.Text(u) }

// Reach is what a place allows of a port's length, m: from Least to Most; Most is 0 where no port goes. Why says what ends it.
type Reach struct {
	Least, Most float64
	Why         Message
}
