package job

import (
	"cubby/internal/cavity"
	"cubby/internal/design"
	"cubby/internal/unit"

	"gopkg.in/yaml.v3"
)

// anyWeight is what a shop minute's weight may be.
var anyWeight = notNegative(1000, "1000")

// minuteCost is what a shop minute costs in dB of the score when the job says nothing (common practice).
const minuteCost = 0.02

// placing reads the weights by which a box is placed; those that are not written keep their defaults. Height and reach
// are minutes per millimetre.
func (j *jobReader) placing(n *yaml.Node, path string) {
	p := &design.PlacingRule{Minute: minuteCost, Weights: cavity.DefaultWeights()}
	weight := func(dst *float64, per float64) field {
		return func(n *yaml.Node, path string) {
			v := *dst / per
			j.quantity(&v, unit.Number, anyWeight)(n, path)
			*dst = v * per
		}
	}
	w := &p.Weights
	j.object(n, path, map[string]field{
		"minute": j.quantity(&p.Minute, unit.Level, notNegative(10, "10 dB")),
		"board":  weight(&w.Board, 1), "pocket_board": weight(&w.PocketBoard, 1), "corner": weight(&w.Corner, 1),
		"compound": weight(&w.Compound, 1), "standing": weight(&w.Standing, 1), "height": weight(&w.Height, 1000),
		"reach": weight(&w.Reach, 1000), "area": weight(&w.Area, 1), "mass": weight(&w.Mass, 1),
	})
	j.request.Placing = p
}
