package job

import (
	_ "embed"

	"cubby/internal/unit"
)

//go:embed starter-in.yaml
var starterInch []byte

//go:embed starter-mm.yaml
var starterMetric []byte

// Starter is the commented job that a person starts from, in inches or in millimetres. It is complete: it reads without
// a fault and its driver is inline. Driver and space are invented.
func Starter(u unit.System) []byte {
	if u == unit.Inch {
		return append([]byte(nil), starterInch...)
	}
	return append([]byte(nil), starterMetric...)
}
