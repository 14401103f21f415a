package nest

import "testing"

// TestHandle holds that a piece goes to the fence only when one person can hold it: by its sizes, and by its mass where
// the board's is known.
func TestHandle(t *testing.T) {
	parts := []Part{{Name: "wall", Count: 2, Length: 1100 * mm, Width: 390 * mm}}
	stock := Stock{Name: "sheet", Length: 1100 * mm, Width: 790 * mm}
	for _, c := range []struct {
		name     string
		areaMass float64
		saw      Saw
		want     string
	}{
		{"mass not known", 0, Saw{Kerf: 3 * mm}, Rip},
		{"13 kg", 15, Saw{Kerf: 3 * mm}, Rip},
		{"23 kg", 27, Saw{Kerf: 3 * mm}, Track},
		{"23 kg, strong arms", 27, Saw{Kerf: 3 * mm, HandleMass: 25}, Rip},
		{"too long", 0, Saw{Kerf: 3 * mm, HandleLength: 1000 * mm}, Track},
	} {
		stock.AreaMass = c.areaMass
		l, err := Lay(parts, []Stock{stock}, c.saw, Options{})
		if err != nil {
			t.Fatal(err)
		}
		if got := l.Sheets[0].Cuts[0].Tool; got != c.want {
			t.Errorf("%s: the first cut is by %s, want %s", c.name, got, c.want)
		}
	}
}
