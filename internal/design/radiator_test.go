package design

import (
	"context"
	"math"
	"math/rand/v2"
	"regexp"
	"slices"
	"strconv"
	"strings"
	"testing"

	"cubby/internal/cavity"
	"cubby/internal/panels"
	"cubby/internal/thielesmall"
)

// pocketRequest is a shallow pocket in which no port finds its place, with a radiator on hand.
func pocketRequest() Request {
	r := wedgeRequest()
	r.Driver = thielesmall.Spec{Name: "Test 8", Fs: 36, Qes: 0.5, Qms: 5.5, Vas: 0.012, Sd: 0.022, Re: 3.3, Xmax: 0.010, Power: 300, Impedance: 4}
	r.Frame = panels.Driver{Name: "Test 8", Frame: 0.218, Cutout: 0.188, Depth: 0.085, Magnet: 0.13, Displacement: 0.0009, Circle: 0.206, Bolts: 8, Hole: 0.005}
	r.Passive = &Passives{MostAdded: 0.3,
		Spec: thielesmall.Spec{Name: "Test 10 passive", Sd: 0.033, Fs: 24, Vas: 0.045, Qms: 9, Xmax: 0.014},
		Frame: panels.Driver{Name: "Test 10 passive", Frame: 0.265, Cutout: 0.232, Depth: 0.075, Magnet: 0.06, Circle: 0.252, Bolts: 8, Hole: 0.005, Mass: 1.4,
			Cone: panels.Cone{Excursion: 0.014}}}
	r.Amplifier.Power = 300
	r.Space.Space = square(0.66, 0.135, 0.33)
	return r
}

// A passive box is what it says: its tuning is that of its parts, its mass lies within what may be added, and no tuning or
// volume that is pinned within what the job leaves free serves better.
func TestPassiveDesign(t *testing.T) {
	free := mustRun(t, pocketRequest())
	if len(free.Designs) == 0 || free.Designs[0].Kind != Passive {
		t.Fatalf("no passive box is best: %+v", free.Outcomes)
	}
	d := free.Designs[0]
	q := d.Radiator
	vap := q.Sd * q.Sd * q.Cms * free.Air.Density * free.Air.SoundSpeed * free.Air.SoundSpeed
	if fb := q.Fp() * math.Sqrt(1+vap/d.Box.NetVolume); math.Abs(fb-d.Figures.Fb) > 1e-6*fb {
		t.Errorf("tuned to %.4f Hz, by hand %.4f Hz", d.Figures.Fb, fb)
	}
	if q.Added < 0 || q.Added > q.MostAdded+1e-9 || math.Abs(q.Added*1000-math.Round(q.Added*1000)) > 1e-6 {
		t.Errorf("%g kg are added", q.Added)
	}
	if with := d.Mass - d.Box.BoardMass; math.Abs(with-1.4-q.Added) > 1e-9 {
		t.Errorf("%.4f kg beside the boards", with)
	}
	for _, name := range []string{RadiatorCheck, "depth behind the passive radiator", "air in front of the radiator", PeakCheck} {
		found := false
		for _, c := range d.Checks {
			found = found || c.Name == name && c.Status != panels.Fail && c.Status != panels.NotChecked
		}
		if !found {
			t.Errorf("no check %s", name)
		}
	}
	for _, by := range []struct{ tuning, volume float64 }{{0.95, 0}, {1.1, 0}, {1.25, 0}, {0, 0.97}, {0, 0.85}, {0, 0.7}} {
		r := pocketRequest()
		r.Kinds = []Kind{Passive}
		if by.tuning > 0 {
			r.Limits.Tuning = [2]float64{d.Figures.Fb * by.tuning, d.Figures.Fb * by.tuning}
		} else {
			r.Limits.Volume = [2]float64{d.Box.NetVolume * by.volume, d.Box.NetVolume * by.volume}
		}
		if p := mustRun(t, r); len(p.Designs) > 0 && p.Designs[0].Score > d.Score+0.2 {
			t.Errorf("%+v scores %.3f, the free job %.3f", by, p.Designs[0].Score, d.Score)
		}
	}
}

// Drivers and radiators come out of a box that looks at the open front; against a side that is closed neither does, and the
// room is what the air in front of them leaves.
func TestRadiatorsComeOutAsDriversDo(t *testing.T) {
	req := pocketRequest()
	res := mustRun(t, req)
	d := res.Designs[slices.IndexFunc(res.Designs, func(d Design) bool { return d.Radiator != nil })]
	if a := d.Access; a.Radiator.Needs != req.Passive.Frame.Depth || !a.Radiator.Free() || !strings.Contains(a.Text(), "the passive radiator comes out") {
		t.Errorf("at the open front: %+v", a)
	}
	closed := *req.Space.Space
	closed.Open = []cavity.Side{cavity.Back}
	room, err := closed.Settle()
	if err != nil {
		t.Fatal(err)
	}
	f := &finder{rig: &rig{req: &req}, prepared: &prepared{room: room}}
	place := *d.Box.Radiators
	if e := f.exit("passive radiator", &place, req.Passive.Frame.Frame/2, req.Passive.Frame.Depth); e.Free() || !strings.Contains(e.Text, "the front leaves") {
		t.Errorf("before a closed front: %+v", e)
	}
}

// A radiator that is too heavy for its suspension to lie stands upright, or there is no box.
func TestPassiveLiesFlatOnlyWhereItMay(t *testing.T) {
	for _, row := range []struct {
		fs   float64
		want bool
	}{{24, true}, {11, false}} {
		r := pocketRequest()
		r.Space.Space, r.Mount.Face, r.Kinds = square(0.66, 0.33, 0.33), "top", []Kind{Passive}
		r.Space.Passage = nil
		r.Passive.Face, r.Passive.Spec.Fs = "top", row.fs
		d := mustRun(t, r).Designs
		if row.want != (len(d) > 0) {
			t.Errorf("fs %g Hz: %d designs", row.fs, len(d))
		}
		if len(d) > 0 && (d[0].Radiator.Sag == 0 || d[0].Radiator.Sag > 0.1*d[0].Radiator.Xmax) {
			t.Errorf("fs %g Hz: it sinks %.2f mm", row.fs, d[0].Radiator.Sag*1000)
		}
	}
}

var advisedMass = regexp.MustCompile(`^(\d+) g on each radiator instead of \d+ g \(tuning ([\d.]+) Hz\) bring it to ([\d.]+) dB`)

// Ten advices on the mass of a radiator, drawn at random and run as new boxes: each becomes what it said.
func TestAdviceOnMassIsWhatComesOfIt(t *testing.T) {
	rng := rand.New(rand.NewPCG(3, 16))
	tried := 0
	for range 300 {
		r := shelfRequest()
		r.Space, r.Driver.Qes = nil, 0.4+0.4*rng.Float64()
		q := &Passives{MostAdded: 0.4, Count: 1 + rng.IntN(2), Spec: thielesmall.Spec{Sd: 0.033 * (1 + rng.Float64()), Mms: 0.15 + 0.2*rng.Float64(), Cms: 3e-4, Rms: 3, Xmax: 0.02}}
		r.Boxes[0] = ReadyBox{Kind: Passive, NetVolume: 0.012 + 0.02*rng.Float64(), Passive: q}
		said := judgeOne(t, r)
		m := advisedMass.FindStringSubmatch(checkNamed(said, PeakCheck).Setting)
		if m == nil {
			continue
		}
		grams, _ := strconv.ParseFloat(m[1], 64)
		tuning, _ := strconv.ParseFloat(m[2], 64)
		peak, _ := strconv.ParseFloat(m[3], 64)
		q.Spec.Mms += grams / 1000
		is := judgeOne(t, r)
		if math.Abs(is.Figures.Fb-tuning) > 0.051 || math.Abs(is.Figures.Peak-peak) > 0.051 || checkNamed(is, PeakCheck).Status != panels.Pass {
			t.Errorf("%q, and it becomes %.2f Hz, %.2f dB (%s)", m[0], is.Figures.Fb, is.Figures.Peak, checkNamed(is, PeakCheck).Status)
		}
		if tried++; tried == 10 {
			return
		}
	}
	t.Errorf("only %d advices", tried)
}

func judgeOne(t *testing.T, r Request) Judged {
	t.Helper()
	res, err := CheckBoxes(context.Background(), r)
	if err != nil {
		t.Fatal(err)
	}
	return res.Boxes[0]
}

func checkNamed(j Judged, name string) Check {
	for _, c := range j.Checks {
		if c.Name == name {
			return c
		}
	}
	return Check{}
}

// A band-pass is never said to suit without more: there is no limit for its peak. One of few notes does not suit, and its
// cone is held by the closed air whatever the frequency.
func TestBandPassInCheck(t *testing.T) {
	for _, row := range []struct {
		front, rear, bore, length, qes, vas float64
		want                                Verdict
	}{{0.030, 0.030, 0.12, 0.10, 0.5, 0.05, SuitsAsChecked}, {0.012, 0.010, 0.10, 0.18, 0.9, 0.018, DoesNotSuit}} {
		r := shelfRequest()
		r.Space, r.Driver.Vas, r.Driver.Qes, r.Amplifier.Filters = nil, row.vas, row.qes, nil
		r.Boxes[0] = ReadyBox{Kind: BandPass, NetVolume: row.front, Rear: row.rear, Port: ReadyPort{Diameter: row.bore, Length: row.length}}
		j := judgeOne(t, r)
		if j.Verdict != row.want {
			t.Errorf("%g l and %g l: %s", row.front*1000, row.rear*1000, j.VerdictText)
		}
		if c := checkNamed(j, PeakCheck); c.Status != panels.NotChecked || c.Told {
			t.Errorf("the peak is %s", c.Status)
		}
		if hp := j.Evaluation.Settings.HighPass; hp > 30 {
			t.Errorf("a high-pass of %g Hz for a cone with closed air behind it", hp)
		}
		if b := j.Band; !(b.Low < j.Figures.Fb && j.Figures.Fb < b.High) {
			t.Errorf("band %+v about %.1f Hz", b, j.Figures.Fb)
		}
	}
}

// A box that fails by its peak has excursion and port speed all the same; a port of which only the tuning is claimed has none.
func TestWhatFailsIsFollowedToItsEnd(t *testing.T) {
	r := shelfRequest()
	r.Space, r.Driver.Qes, r.Amplifier.Filters = nil, 0.9, nil
	vented(&r, 0.06, 0.1, 0.08)
	j := judgeOne(t, r)
	if checkNamed(j, PeakCheck).Status != panels.Fail {
		t.Fatalf("peak %.1f dB", j.Figures.Peak)
	}
	if j.Evaluation.Excursion < 1e-3 || j.Evaluation.Speed < 5 {
		t.Errorf("the cone moves %g m, the air %g m/s", j.Evaluation.Excursion, j.Evaluation.Speed)
	}
	r.Boxes[0].Port = ReadyPort{Tuning: 30}
	j = judgeOne(t, r)
	if c := checkNamed(j, SpeedCheck); c.Status != panels.NotChecked || j.Evaluation.Speed != 0 {
		t.Errorf("a port that nobody described: %s, %g m/s", c.Status, j.Evaluation.Speed)
	}
	for _, l := range j.Loud {
		if l.LimitedBy == thielesmall.PortSpeed {
			t.Errorf("it sets the level at %g Hz", l.Frequency)
		}
	}
}
