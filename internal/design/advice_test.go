package design

import (
	"context"
	"math"
	"math/rand/v2"
	"testing"

	"cubby/internal/panels"
)

// TestAdviceIsWhatItSays draws advices at random and runs each as a new job: it becomes what was said, the speed and the level
// within 0.5 % and 0.05 dB, the tuning within 0.1 Hz, Qtc within 0.005.
func TestAdviceIsWhatItSays(t *testing.T) {
	rng := rand.New(rand.NewPCG(3, 9))
	counts := map[string]int{}
	for n := 0; counts["port"]+counts["tuning"]+counts["power"]+counts["filling"] < 20 && n < 200; n++ {
		req := shelfRequest()
		req.Space = nil
		req.Boxes[0].NetVolume = 0.006 + 0.03*rng.Float64()
		if n%2 > 0 {
			vented(&req, 0.02+0.03*rng.Float64(), 0.05+0.04*rng.Float64(), 0.1+0.2*rng.Float64())
			req.Boxes[0].Port.Ends = [2]EndKind{EndFlush, EndFlush} // as a port of another length has them
		}
		h, err := newRig(&req)
		if err != nil {
			t.Fatal(err)
		}
		h.drive = defaultVolts
		j := h.judgeReady(req.Boxes[0])
		p := h.performanceOf(&j, req.Boxes[0])
		again := func(change func(*Request)) (Judged, performance) {
			other := req
			other.Boxes = []ReadyBox{req.Boxes[0]}
			change(&other)
			r, err := CheckBoxes(context.Background(), other)
			if err != nil {
				t.Fatal(err)
			}
			o, err := newRig(&other)
			if err != nil {
				t.Fatal(err)
			}
			return r.Boxes[0], o.performanceOf(&r.Boxes[0], other.Boxes[0])
		}
		if s := p.Evaluation.Settings; s.Allowed < s.Full {
			counts["power"]++
			_, q := again(func(r *Request) { a := *r.Amplifier; a.Power, r.Amplifier = s.Allowed*a.Into/4, &a })
			if math.Abs(q.Evaluation.Settings.Allowed/q.Evaluation.Settings.Full-1) > 1e-6 {
				t.Errorf("at %.1f W it may play at %.1f W", s.Allowed, q.Evaluation.Settings.Allowed)
			}
		}
		if j.Kind == Sealed {
			if want := filledQtc(p.Circuit.System, fillShare); p.Figures.Qtc > 1 {
				counts["filling"]++
				k, _ := again(func(r *Request) { r.Boxes[0].Filling = Filling{Fraction: fillShare, Density: fillDensity} })
				within(t, "Qtc with filling", k.Figures.Qtc, want, 0.005)
			}
			continue
		}
		for kind, change := range map[string][2]float64{"port": {1.7, 1}, "tuning": {1, 0.9}} {
			q, length, ok := h.withPort(p, p.Port.Area*change[0], p.Figures.Fb*change[1])
			if !ok {
				continue
			}
			counts[kind]++
			k, f := again(func(r *Request) {
				b := &r.Boxes[0]
				b.NetVolume, b.Port.Diameter, b.Port.Length = q.volume(), p.Port.Bore*math.Sqrt(change[0]), length
			})
			within(t, "tuning", k.Figures.Fb, p.Figures.Fb*change[1], 0.1)
			within(t, "port air speed", f.Evaluation.Speed, q.Evaluation.Speed, 0.005*q.Evaluation.Speed)
			within(t, "peak", k.Figures.Peak, q.Figures.Peak, 0.05)
			within(t, "dip", k.Figures.Dip, q.Figures.Dip, 0.05)
			within(t, "air", q.volume()+q.Port.Area*change[0]*length, p.volume()+p.Port.Area*p.Port.Length, 1e-6)
		}
		for _, c := range j.Checks {
			if c.Name == SpeedCheck && c.Status == panels.Fail && c.Setting == "" {
				t.Error("no advice for a port that fails")
			}
		}
	}
	t.Logf("advices run as jobs: %v", counts)
	if counts["port"] < 2 || counts["tuning"] < 2 || counts["power"] < 2 || counts["filling"] < 2 {
		t.Errorf("too few of a kind: %v", counts)
	}
}
