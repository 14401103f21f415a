package design

import (
	"context"
	"fmt"
	"slices"
	"strings"
	"testing"

	"cubby/internal/cavity"
	"cubby/internal/panels"
)

// TestLostWish holds that a wish for one kind of box is said to be lost when a box of the other kind is offered for it, with
// the reason; and that nothing is said of a wish that is kept.
func TestLostWish(t *testing.T) {
	req := wedgeRequest()
	req.Limits.Tuning = [2]float64{90, 90}
	r := mustRun(t, req)
	if len(r.Designs) == 0 || r.Designs[0].Kind != Sealed {
		t.Fatalf("a tuning of 90 Hz: %d designs, %+v", len(r.Designs), r.Outcomes)
	}
	d := r.Designs[0]
	if !strings.HasSuffix(d.VerdictText, "The wish for a tuning of 90.0 Hz is not kept: no vented box with it can be built.") {
		t.Error(d.VerdictText)
	}
	if w := d.Warnings[0]; !strings.Contains(w, "limits.tuning") || !strings.Contains(w, "peak") || !strings.HasSuffix(w, "consider: [vented]") {
		t.Error(w)
	}
	req.Limits.Tuning = [2]float64{28, 34}
	for _, d := range mustRun(t, req).Designs {
		if strings.Contains(d.VerdictText, "wish") {
			t.Errorf("a tuning from 28 to 34 Hz: %s", d.VerdictText)
		}
	}
	req = wedgeRequest()
	req.Limits.Qtc = [2]float64{0.2, 0.2}
	if d := mustRun(t, req).Designs[0]; !strings.Contains(d.VerdictText, "The wish for a Qtc of 0.20 is not kept: no sealed box") {
		t.Error(d.VerdictText)
	}
}

// TestIdleWish holds that a wish for a kind of box that is not considered does not go unsaid, and that two wishes at odds are
// told with what each of them is.
func TestIdleWish(t *testing.T) {
	req := wedgeRequest()
	req.Limits.Tuning = [2]float64{34, 34}
	idle := func() int {
		all := strings.Join(mustRun(t, req).Designs[0].Warnings, "\n")
		return strings.Count(all, "limits.tuning speaks of vented boxes alone, and consider names none")
	}
	if n := idle(); n != 0 {
		t.Errorf("vented boxes considered: told %d times", n)
	}
	req.Kinds = []Kind{Sealed}
	if n := idle(); n != 1 {
		t.Errorf("no vented boxes considered: told %d times", n)
	}
	req.Limits.Qtc, req.Limits.Volume = [2]float64{0.6, 0.6}, [2]float64{0.015, 0.015}
	if o := mustRun(t, req).Outcomes[0]; !strings.Contains(o.Reason, "the air wished for, 15.0 l, gives 0.83") || !strings.HasSuffix(o.Reason, "of net air") {
		t.Errorf("a Qtc that the air wished for does not give: %s", o.Reason)
	}
}

// TestMoreDepth holds that a driver that stands close to what is behind it comes with what to do, a vented pole with the
// least that it needs.
func TestMoreDepth(t *testing.T) {
	for _, test := range []struct {
		short float64
		vent  bool
		want  string
	}{
		{0.0229, true, "a spacer ring of 22.9 mm under the frame, if there is air in front of the cone for it, or a box that much larger there; 9.9 mm at the least, so that the pole can breathe"},
		{0.010, true, "a spacer ring of 10.0 mm under the frame, if there is air in front of the cone for it, or a box that much larger there"},
		{0.0229, false, "a spacer ring of 22.9 mm under the frame, if there is air in front of the cone for it, or a box that much larger there"},
	} {
		req := wedgeRequest()
		req.Frame.Vent = test.vent
		p, err := newRig(&req)
		if err != nil {
			t.Fatal(err)
		}
		if got := p.moreDepth(test.short); got != test.want {
			t.Errorf("%v short, vent %v: %s", test.short, test.vent, got)
		}
	}
	req, graded := wedgeRequest(), 0
	req.Frame.Depth = 0.315
	for _, d := range mustRun(t, req).Designs {
		for _, c := range d.Checks {
			if c.Name == depthCheck && (c.Status == panels.Marginal) != (c.Setting != "") {
				t.Errorf("%s: %s is %s: %q", d.Kind, c.Name, c.Status, c.Setting)
			}
			if c.Name == depthCheck && c.Status == panels.Marginal {
				graded++
			}
		}
	}
	if graded == 0 {
		t.Error("no box has a marginal depth: the test proves nothing")
	}
}

// TestOneQtcIsNoCaution holds that a box made for one Qtc shows it as it was wished, whichever way the aim would rather have it,
// and that what is said of a box beside it stays within what is wanted.
func TestOneQtcIsNoCaution(t *testing.T) {
	for _, aim := range []Aim{Flat, Low, Loud, Compact} {
		req := wedgeRequest()
		req.Kinds, req.Aim, req.Limits.Qtc = []Kind{Sealed}, aim, [2]float64{0.7, 0.7}
		for _, d := range mustRun(t, req).Designs {
			if c := qtcCheck(t, d.Checks); c.Status != panels.Pass || fmt.Sprintf("%.2f", c.Value) != "0.70" {
				t.Errorf("aim %s: %s %s", aim, c.Status, c.Note)
			}
		}
	}
	req := shelfRequest()
	sealedQtc(0.73)(&req)
	req.Limits.Qtc = [2]float64{0.7, 0.7}
	r, err := CheckBoxes(context.Background(), req)
	if err != nil {
		t.Fatal(err)
	}
	c := qtcCheck(t, r.Boxes[0].Checks)
	if !strings.Contains(c.Setting, "brings Qtc to 0.70") || !strings.HasSuffix(c.Setting, "gives 0.70") {
		t.Errorf("%s: %s", c.Note, c.Setting)
	}
}

func qtcCheck(t *testing.T, checks []Check) Check {
	t.Helper()
	i := slices.IndexFunc(checks, func(c Check) bool { return c.Name == "sealed Qtc" })
	if i < 0 {
		t.Fatal("Qtc is not checked")
	}
	return checks[i]
}

// TestNoBoxOnlyAfterAllPlaces holds that "no box suits" is said after every place was looked at: in a well with a stud the regions
// with least work hold the wished air, but the driver's face comes out too small in each of them.
func TestNoBoxOnlyAfterAllPlaces(t *testing.T) {
	req := wedgeRequest()
	s := &cavity.Space{Gap: 0.008, Open: []cavity.Side{cavity.Roof}, Blocks: []cavity.Block{around("stud", 0.31, 0.04, 0.31, 0.04, 0, 0.055)}}
	for _, c := range [...][5]float64{{0.02, 0.225, 0.435}, {0.07, 0.125, 0.535, 0.05, 0.01}, {0.16, 0.047, 0.613, 0.048}, {0.33, 0, 0.66, 0.05},
		{0.5, 0.047, 0.613, 0.048}, {0.59, 0.125, 0.535, 0.05, 0.01}, {0.64, 0.225, 0.435}} {
		front, back, rim, floor := c[1], c[2], c[3], c[4]
		t := cavity.Station{FromLeft: c[0], Front: front, Back: back, Roof: []cavity.Height{{Depth: front, Height: 0.215}, {Depth: back, Height: 0.215}},
			Floor: []cavity.Height{{Depth: front, Height: 0.07}, {Depth: back, Height: 0.07}}}
		if rim > 0 {
			t.Floor = slices.Insert(t.Floor, 1, cavity.Height{Depth: front + rim, Height: floor}, cavity.Height{Depth: back - rim, Height: floor})
		}
		s.Stations = append(s.Stations, t)
	}
	req.Space, req.Kinds, req.Mount = &Space{Space: s}, []Kind{Sealed}, Mount{Face: "top", AirInFront: 0.025}
	req.Frame.Depth, req.Frame.Frame, req.Limits.Volume = 0.096, 0.270, [2]float64{0.010, 0.010}
	p, err := newRig(&req)
	if err != nil {
		t.Fatal(err)
	}
	p.settle()
	f, _, err := p.ready(context.Background())
	if err != nil {
		t.Fatal(err)
	}
	if len(f.left) == 0 {
		t.Fatal("every place is looked at first: the test proves nothing")
	}
	if r := mustRun(t, req); len(r.Designs) == 0 {
		t.Errorf("no box: %+v", r.Outcomes)
	}
}
