package unit

import "testing"

// BenchmarkParse reads one quantity of each common shape; a ranking of drivers reads twenty times its number of files.
func BenchmarkParse(b *testing.B) {
	b.ReportAllocs()
	for b.Loop() {
		for _, q := range []struct {
			text string
			d    Dimension
		}{{"28.4 Hz", Frequency}, {"14-3/8 in", Length}, {"0.62 cu ft", Volume}, {"365 mm", Length}} {
			if _, err := Parse(q.text, q.d, Metric); err != nil {
				b.Fatal(err)
			}
		}
	}
}
