package cavity

import (
	"context"
	"testing"
)

func BenchmarkRegions(b *testing.B) {
	for name, s := range spaces() {
		b.Run(name, func(b *testing.B) {
			room, err := s.Settle()
			if err != nil {
				b.Fatal(err)
			}
			for b.Loop() {
				if _, err := room.Regions(context.Background(), Limits{}); err != nil {
					b.Fatal(err)
				}
			}
		})
	}
}
