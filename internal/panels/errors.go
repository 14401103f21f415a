package panels

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

// BuildError is why a box cannot be made, in the user's terms, with the numbers that a search can act on.
type BuildError struct {
	Reason       Reason
	Panel        string    // the wall, end or face that it is about; may be empty
	Text         string    // one sentence
	Value, Limit float64   // what there is and what is needed, m (or m3 for NoAir); 0, 0 when there is no such pair
	LongestPort  float64   // NoPort, NoAir: the longest port that can be placed with half a diameter of air before its inner mouth, m; 0 none
	begins       []float64 // NoPort of a slot: where the stretches of lengths that can be placed begin, m
	sure         bool      // NoPort: with the longest port there is air left beyond doubt
}

// Error gives the sentence.
func (e *BuildError) Error() string { return e.Text }
