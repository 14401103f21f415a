package design

import "testing"

// TestLayersAreCutOneByOne: a driver's face of two full-size layers is cut twice from the plain board.
func TestLayersAreCutOneByOne(t *testing.T) {
	req := wedgeRequest()
	req.Kinds = []Kind{Sealed}
	req.Wood.FrontLayers = 2
	d := mustRun(t, req).Designs[0]
	for _, p := range Parts(d.Box) {
		if p.Thickness != 18000 {
			t.Errorf("%s is cut from %d micrometres of board, want 18000", p.Name, p.Thickness)
		}
		if want := map[bool]int{true: 2, false: 1}[p.Name == "front"]; p.Count != want {
			t.Errorf("%s is cut %d times, want %d", p.Name, p.Count, want)
		}
	}
	if n := len(d.Sheets.Unplaced); n > 0 {
		t.Errorf("%d parts find no board: %v", n, d.Sheets.Unplaced)
	}
}
