package answer

import (
	"fmt"
	"math"

	"cubby/internal/cavity"
	"cubby/internal/design"
	"cubby/internal/job"
	"cubby/internal/thielesmall"
	"cubby/internal/unit"
)

// A Settle is a question whose answer can change the verdict, on which the job is silent.
type Settle struct {
	Path string `json:"path"`
	Step string `json:"step"` // space, driver, amplifier, wood or wish
	Ask  string `json:"ask"`
	Why  string `json:"why"`
}

// questions are asked of every job, in the order of the work.
var questions = []Settle{
	{"cavity.passage", "space", "Through what opening must the finished box be carried?", "A box that fits the space may still not go in."},
	{"mount.air_in_front", "driver", "How much clear air is there before the driver's face?", "The cone needs room to move, and the air to get out."},
	{"mount.wiring", "driver", "How are coils or drivers joined?", "The load, and so what the amplifier gives, follows from it."},
	{"driver.displacement", "driver", "How much air does the driver itself take up?", "It comes off the net volume."},
	{"amplifier.power", "amplifier", "What does the amplifier give, and into what load?", "Without it nothing is known of excursion, port noise or heat."},
	{"amplifier.highpass", "amplifier", "Is there a high-pass, and at what frequency?", "Below a port's tuning nothing holds the cone."},
	{"vehicle.cabin_length", "space", "How long is the cabin inside, windscreen to tailgate?", "The cabin lifts the lowest notes; the level inside follows from its length."},
}

// settle lists the questions that a job leaves open. driver is what stands in the driver's own file, if it has one.
func settle(tree, driver *job.Node) []Settle {
	open := []Settle{}
	several := func(n *job.Node) bool { return n != nil && n.Text > "1" }
	if driver == nil {
		driver = tree.At("driver")
	}
	for _, q := range questions {
		if tree.At(q.Path) != nil {
			continue
		}
		if d := tree.At("driver"); q.Path == "driver.displacement" && (d == nil || d.Kind != job.KeysNode) {
			continue // in a file of its own, which a job does not change, or not chosen yet
		}
		if q.Path == "mount.wiring" && !several(tree.At("mount.count")) && (driver == nil || !several(driver.At("coils.count"))) {
			continue
		}
		if v := tree.At("vehicle.measured"); q.Path == "vehicle.cabin_length" && v != nil {
			continue
		}
		open = append(open, q)
	}
	return open
}

// A Doubt is a value that is used as it stands, though it does not go with the others.
type Doubt struct {
	Path string `json:"path"`
	Text string `json:"text"`
}

// doubts are those about the space's heights, by their neighbours, and about the driver's figures, by each other.
func doubts(r *design.Result) []Doubt {
	all := []Doubt{}
	if r.Room != nil {
		for _, d := range r.Room.Doubts {
			line := "roof"
			if d.Surface == cavity.Floor {
				line = "floor"
			}
			off := unit.FormatLength(math.Abs(d.Height-d.Expected), r.Request.Units)
			text := fmt.Sprintf("%s off the lines through its neighbours, which give %s", off, unit.FormatLength(d.Expected, r.Request.Units))
			all = append(all, Doubt{fmt.Sprintf("cavity.stations[%d].%s[%d]", d.Station, line, d.Reading), text})
		}
	}
	for _, f := range r.Findings {
		if f.Severity == thielesmall.Flagged {
			all = append(all, Doubt{"driver." + f.Quantity, f.Text})
		}
	}
	return all
}
