package render

import (
	"context"
	"strings"
	"testing"

	"cubby/internal/design"
	"cubby/internal/panels"
	"cubby/internal/plane"
	"cubby/internal/thielesmall"
	"cubby/internal/unit"
)

// checkedBoxes are two invented boxes: one that suits with care, and one that claims what cannot be, with a port too narrow.
func checkedBoxes(t *testing.T, u unit.System) *design.CheckResult {
	t.Helper()
	section := plane.Rect{Max: plane.Point{X: 0.3, Y: 0.3}}.Polygon()
	r, err := design.CheckBoxes(context.Background(), design.Request{
		Units:     u,
		Driver:    thielesmall.Spec{Name: "Test 10", Fs: 30, Qes: 0.5, Qms: 5, Vas: 0.035, Sd: 0.0345, Re: 3.4, Xmax: 0.012, Power: 300, Impedance: 4},
		Frame:     panels.Driver{Cutout: 0.236, Depth: 0.135},
		Amplifier: &design.Amplifier{Power: 500, Into: 4},
		Boxes: []design.ReadyBox{
			{Name: "first box", Kind: design.Vented, NetVolume: 0.04, Shell: design.Shell{Section: section, Width: 0.4, Wall: 0.015}, Hole: design.Hole{Opening: 0.236},
				Port: design.ReadyPort{Diameter: 0.05, Length: 0.1, Tuning: 25}},
			{Name: "second box", Kind: design.Sealed, Shell: design.Shell{Section: section, Width: 0.4, Wall: 0.015}, Hole: design.Hole{Opening: 0.236}, Price: 80},
		},
	})
	if err != nil {
		t.Fatal(err)
	}
	return r
}

// TestCheckReport holds that two boxes and what speaks against each stand on one page of either paper, and the graphs on another.
func TestCheckReport(t *testing.T) {
	for _, u := range []unit.System{unit.Metric, unit.Inch} {
		for _, paper := range []string{"letter", "a4"} {
			b, err := layOutCheck(checkedBoxes(t, u), Options{Paper: paper})
			if err != nil {
				t.Fatal(err)
			}
			if len(b.sheets) != 2 {
				t.Errorf("%v on %s: %d pages", u, paper, len(b.sheets))
			}
		}
	}
}

// A dozen boxes stay on two pages of either paper, with their graphs.
func TestManyCheckedBoxes(t *testing.T) {
	r := checkedBoxes(t, unit.Metric)
	for len(r.Boxes) < 12 {
		r.Boxes = append(r.Boxes, r.Boxes[1])
	}
	for _, paper := range []string{"letter", "a4"} {
		b, err := layOutCheck(r, Options{Paper: paper})
		if err != nil {
			t.Fatal(err)
		}
		if len(b.sheets) > 2 {
			t.Errorf("%d boxes on %s: %d pages", len(r.Boxes), paper, len(b.sheets))
		}
		for _, f := range faultsOf(b) {
			t.Errorf("%s: %s", paper, f)
		}
	}
}

// TestComparison holds the table of several boxes: best first, with how low and loud each plays and what speaks against it.
func TestComparison(t *testing.T) {
	r := checkedBoxes(t, unit.Metric)
	table := comparison(r)
	words := func(i int) (all []string) {
		for _, c := range table.Rows[i] {
			all = append(all, c.Text)
		}
		return all
	}
	if got := strings.Join(words(0), "|"); !strings.HasPrefix(got, "1|second box|") || !strings.Contains(got, "|80|suits with cautions: ") {
		t.Errorf("first row: %s", got)
	}
	if got := strings.Join(words(1), "|"); !strings.HasPrefix(got, "2|first box|40.0 l|") || !strings.HasSuffix(got, "|–|does not suit: net volume, port air speed at full power") {
		t.Errorf("second row: %s", got)
	}
	r.Boxes[0].Ready.Price = 0
	if got := len(comparison(r).Columns); got != 6 {
		t.Errorf("without prices there are %d columns, want 6", got)
	}
}
