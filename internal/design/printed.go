package design

// Projection is how the views of a thing are put beside each other on a drawing; empty: as is usual with the paper.
type Projection string

// The two arrangements of views (both of equal standing; they are never mixed on a drawing): in third angle a view stands
// beside the side that it shows, in first angle on the far side.
const (
	ThirdAngle Projection = "third"
	FirstAngle Projection = "first"
)

// Item is a line of the bill of materials that a job can give a price for.
type Item string

// The items of the bill of materials beside the board, whose price stands with the stock.
const (
	Screws    Item = "screws"
	Glue      Item = "glue"
	Sealant   Item = "sealant"
	Drivers   Item = "driver"
	Radiators Item = "radiator"
	Fasteners Item = "fasteners"
	Gasket    Item = "gasket"
	PortTube  Item = "port"
	Terminal  Item = "terminal"
	Cable     Item = "cable"
	Covering  Item = "covering"
)

// Items lists every item, in the order of the bill of materials.
func Items() []Item {
	return []Item{Screws, Glue, Sealant, Drivers, Radiators, Fasteners, Gasket, PortTube, Terminal, Cable, Covering}
}
