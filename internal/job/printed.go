package job

import (
	"cubby/internal/design"
	"cubby/internal/unit"

	"gopkg.in/yaml.v3"
)

// drawing reads how the views of the drawings are arranged.
func (j *jobReader) drawing(n *yaml.Node, path string) {
	j.object(n, path, map[string]field{
		"projection": choice(&j.reader, &j.request.Projection, "third|first", design.ThirdAngle, design.FirstAngle),
	})
}

// prices reads what the items of the bill of materials cost, each for all that the bill asks for.
func (j *jobReader) prices(n *yaml.Node, path string) {
	values := map[design.Item]*float64{}
	fields := map[string]field{}
	for _, it := range design.Items() {
		values[it] = new(float64)
		fields[string(it)] = j.quantity(values[it], unit.Number, notNegative(1e6, "1000000"))
	}
	for key := range j.object(n, path, fields).values {
		if v, ok := values[design.Item(key)]; ok {
			if j.request.Prices == nil {
				j.request.Prices = map[design.Item]float64{}
			}
			j.request.Prices[design.Item(key)] = *v
		}
	}
}
