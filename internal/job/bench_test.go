package job

import "testing"

// BenchmarkParse reads the largest job of the tests.
func BenchmarkParse(b *testing.B) {
	data := readFile(b, "testdata/everything.yaml")
	b.ReportAllocs()
	for b.Loop() {
		if _, err := Parse("job", data, nil); err != nil {
			b.Fatal(err)
		}
	}
}

// BenchmarkParseDriver reads a driver file, of which a ranking has thousands.
func BenchmarkParseDriver(b *testing.B) {
	data := readFile(b, "../../examples/drivers/harrow-10.yaml")
	b.ReportAllocs()
	for b.Loop() {
		if _, err := ParseDriver("driver", data); err != nil {
			b.Fatal(err)
		}
	}
}
