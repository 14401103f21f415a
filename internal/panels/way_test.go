package panels

import (
	"math/rand/v2"
	"strings"
	"testing"

	"pgregory.net/rapid"
)

// terminalBox is a plain box, 400 mm wide, 300 mm deep and high, with its terminal plate on the given face.
func terminalBox(face string, port *Port) Spec {
	return Spec{Section: mm(0, 0, 300, 0, 300, 300, 0, 300), Width: 0.4, Wood: board(18), Face: "front",
		Driver: Driver{Frame: 0.2, Cutout: 0.18, Depth: 0.08, Magnet: 0.12}, Plate: &Plate{Face: face}, Port: port}
}

// A port makes way for the terminal plate where it can stand elsewhere; where it cannot, the refusal says that it is the port.
func TestPortMakesWay(t *testing.T) {
	for _, row := range []struct {
		name, plate string
		port        Port
	}{
		{"tube in the middle of the plate's face", "left", Port{Count: 1, Bore: 0.1, Length: 0.1, Face: "left"}},
		{"slot of part of the width along the back", "back", Port{Height: 0.04, Width: 0.15, Length: 0.3}},
		{"slot of the whole width along the top", "top", Port{Height: 0.04, Length: 0.2}},
	} {
		b := mustBuild(t, terminalBox(row.plate, &row.port))
		if c := b.check(t, "terminal plate"); c.Status == Fail {
			t.Errorf("%s: %s", row.name, c.Note)
		}
	}
	b := mustBuild(t, terminalBox("left", &Port{Count: 1, Bore: 0.15, Length: 0.05, Face: "left"}))
	if c := b.check(t, "terminal plate"); c.Status != Fail || !strings.Contains(c.Note, "without the port it would have one") {
		t.Errorf("a tube that takes the face: %s, %s", c.Status, c.Note)
	}
}

// A plate that is too wide for its face is turned, with its screws; one that has room lying stays so.
func TestTerminalOnItsEnd(t *testing.T) {
	for depth, turned := range map[float64]bool{0.145: true, 0.3: false} {
		s := terminalBox("left", nil)
		for i := range s.Section {
			s.Section[i].X *= depth / 0.3
		}
		s.Plate.Width, s.Plate.Height = 0.1, 0.06
		b := mustBuild(t, s)
		c := b.check(t, "terminal plate")
		if c.Status == Fail || strings.Contains(c.Note, "turned a quarter") != turned {
			t.Errorf("%v m deep: %s, %s", depth, c.Status, c.Note)
		}
		for _, h := range b.panel(leftEnd).Holes {
			if h.Kind == "terminal" && (h.Width > h.Length) != turned {
				t.Errorf("%v m deep: the opening is %v long and %v wide", depth, h.Length, h.Width)
			}
		}
	}
}

// No port that makes way takes the driver's air for it.
func TestPortMakesWayForBoth(t *testing.T) {
	moved := 0
	eachBox(t, func(t *rapid.T, r *rand.Rand) {
		s := equip(r, randomSpec(r))
		s.Terminal, s.Mute = true, true
		if s.Port == nil || s.Port.Bore <= 0 || validate(s) != nil {
			return
		}
		first, err := planWith(s, nil, 0)
		if err != nil || !first.lacksTerminal() {
			return
		}
		if last := first.makeWay(s); !last.lacksTerminal() {
			moved++
			if first.clearOfDriver() && !last.clearOfDriver() {
				t.Fatalf("the port has moved into the driver's air: %+v", s)
			}
		}
	})
	t.Logf("%d ports made way", moved)
}
