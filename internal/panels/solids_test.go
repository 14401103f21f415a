package panels

import (
	"fmt"
	"math"
	"os"
	"os/exec"
	"strings"
	"testing"

	"cubby/internal/solid"

	"gonum.org/v1/gonum/spatial/r3"
)

// The boards of a dozen boxes, put together by OpenSCAD with what stops in a rabbet taken out of its board, have the volume of
// their sum: none runs into another. With the air they are the outside.
func TestBoardsAgainstOpenSCAD(t *testing.T) {
	if _, err := exec.LookPath("openscad"); err != nil {
		if os.Getenv("CI") == "true" {
			t.Fatal(err)
		}
		t.Skip(err)
	}
	mdf := Wood{Board: "MDF", Thickness: .018}
	with := func(change func(*Wood)) Wood { w := mdf; change(&w); return w }
	wedge := mm(0, 0, 360, 0, 430, 240, 0, 240)
	step := mm(0, 0, 420, 0, 420, 170, 290, 170, 290, 300, 0, 300)
	lean := func(axis solid.Axis) *solid.Solid {
		u := axis.Unit()
		s, err := solid.Prism(wedge, axis, solid.Through(r3.Scale(.1, u), r3.Add(r3.Scale(-1, u), r3.Vec{X: .1, Y: .08, Z: .12})), solid.Through(r3.Scale(.7, u), r3.Add(u, r3.Vec{X: .15, Y: -.1, Z: .2})))
		if err != nil {
			t.Fatal(err)
		}
		return s
	}
	pocket := func(b solid.Box) *solid.Solid {
		s, err := across(t, mm(0, 0, 400, 0, 400, 300, 0, 300), 0, .8).Pocket(b)
		if err != nil {
			t.Fatal(err)
		}
		return s
	}
	tunnel := solid.Box{Name: "tunnel", Min: r3.Vec{X: .3, Y: -1, Z: -1}, Max: r3.Vec{X: .5, Y: 1, Z: .1}}
	corner := solid.Box{Name: "corner", Min: r3.Vec{X: -1, Y: .25, Z: .15}, Max: r3.Vec{X: .2, Y: 1, Z: 1}}
	up, err := solid.Straight(step, solid.Up, 0, .4)
	if err != nil {
		t.Fatal(err)
	}
	cases := []struct {
		name string
		spec Spec
	}{
		{"wedge", Spec{Outside: across(t, wedge, 0, .6), Wood: mdf}},
		{"leaning ends", Spec{Outside: lean(solid.Across), Wood: mdf}},
		{"tunnel, rabbeted ends", Spec{Outside: pocket(tunnel), Wood: with(func(w *Wood) { w.Ends = EndsRabbeted })}},
		{"all rabbeted", Spec{Outside: across(t, step, 0, .6), Wood: with(func(w *Wood) { w.Ends, w.Joints = EndsRabbeted, Rabbet })}},
		{"corner pocket", Spec{Outside: pocket(corner), Wood: mdf}},
		{"step, mitred", Spec{Outside: across(t, step, 0, .6), Wood: with(func(w *Wood) { w.Joints = Mitre })}},
		{"leaning, along depth, mitred", Spec{Outside: lean(solid.Depth), Axis: solid.Depth, Wood: with(func(w *Wood) { w.Joints = Mitre })}},
		{"leaning, upright", Spec{Outside: lean(solid.Up), Axis: solid.Up, Wood: mdf}},
		{"upright step, ends inside", Spec{Outside: up, Axis: solid.Up, Wood: with(func(w *Wood) { w.Ends = EndsInside })}},
		{"hopper", Spec{Outside: hopper(t, 4, 70*deg), Axis: solid.Up, Wood: mdf}},
		{"hopper of five", Spec{Outside: hopper(t, 5, 65*deg), Axis: solid.Up, Wood: with(func(w *Wood) { w.Joints = Mitre })}},
		{"removable front", Spec{Outside: across(t, mm(0, 0, 330, 0, 330, 260, 0, 260), 0, .5), Wood: mdf, Mounting: Mounting{Removable: true}}},
	}
	if os.Getenv("CI") != "true" && !*long {
		cases = cases[:4]
	}
	for _, c := range cases {
		sh, err := newShell(&c.spec)
		if err == nil {
			err = c.spec.validate()
		}
		if err != nil {
			t.Errorf("%s: %v", c.name, err)
			continue
		}
		var src strings.Builder
		sum := 0.0
		for i := range sh.boards {
			b := &sh.boards[i]
			if len(b.Holes) > 0 {
				t.Fatalf("%s: the %s has a hole in its middle", c.name, sh.parts[i].name)
			}
			sum += b.Volume * 1e9
			src.WriteString("difference(){" + boardText(b))
			for _, s := range b.Steps {
				src.WriteString(boardText(&sh.boards[s.With]))
			}
			src.WriteString("}\n")
		}
		got := scadVolume(t, "union(){"+src.String()+"}")
		near(t, c.name+": boards over their sum", got/sum, 1, 1e-6)
		all := scadVolume(t, "union(){"+src.String()+airPolyhedron(sh.air)+"}")
		near(t, c.name+": with the air over the outside", all/(sh.outside.Volume()*1e9), 1, 1e-6)
	}
}

func boardText(b *Board) string {
	var s scad
	s.board(b)
	if len(s.parts) != 1 || math.IsNaN(b.Volume) {
		return fmt.Sprint("// ", b)
	}
	return s.parts[0]
}
