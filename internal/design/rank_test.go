package design

import (
	"context"
	"flag"
	"fmt"
	"math"
	"math/rand/v2"
	"reflect"
	"testing"

	"cubby/internal/panels"
	"cubby/internal/search"
	"cubby/internal/thielesmall"
)

// invented gives n invented drivers of ordinary classes, 6-1/2 to 15 inch, each with its own data and sizes; the same for a
// seed every time.
func invented(n int, seed uint64) []Entrant {
	rng := rand.New(rand.NewPCG(seed, 1))
	spread := func(lo, hi float64) float64 { return lo * math.Pow(hi/lo, rng.Float64()) }
	all := make([]Entrant, n)
	for i := range all {
		cone := spread(0.060, 0.165) // effective radius, m
		sd := math.Pi * cone * cone
		fs, qms := spread(20, 48), spread(3, 10)
		qes := spread(0.3, 0.9)
		mms := spread(1.8, 6.5) * sd
		cms := 1 / (4 * math.Pi * math.Pi * fs * fs * mms)
		re := []float64{1.7, 3.4, 3.6, 6.4}[rng.IntN(4)]
		frame := 2*cone + spread(0.045, 0.07)
		xmax := spread(0.005, 0.022)
		e := &all[i]
		e.Source = fmt.Sprintf("catalogue.csv:%d", i+2)
		e.Spec = thielesmall.Spec{
			Name: fmt.Sprintf("Invented %05d", i+1), Fs: fs, Qes: qes, Qms: qms, Vas: 141911 * sd * sd * cms, Sd: sd, Re: re,
			Le: spread(0.0004, 0.0025), Xmax: xmax, Power: math.Round(spread(100, 1200)), Impedance: math.Round(re*1.2 + 0.2),
		}
		if rng.IntN(3) > 0 {
			e.Spec.Xmech = xmax * spread(1.2, 1.9)
		}
		e.Frame = panels.Driver{
			Name: e.Spec.Name, Frame: frame, Cutout: frame - 0.03, Circle: frame - 0.013, Bolts: 8, Hole: 0.0055,
			Depth: frame * spread(0.28, 0.65), Magnet: frame * spread(0.45, 0.62), Displacement: spread(0.0008, 0.004),
			Vent: rng.IntN(2) == 0, Mass: spread(2, 14), Cone: panels.Cone{Excursion: xmax, Sd: sd},
		}
	}
	return all
}

// rankRequests are the spaces that the rank tests try: a wedge with the driver in front, and a low, wide space with the
// driver on top.
func rankRequests() map[string]Request {
	wedge := wedgeRequest()
	low := wedgeRequest()
	low.Space.Space = square(1.1, 0.5, 0.22)
	low.Mount, low.Vehicle = Mount{Face: "top", AirInFront: 0.04}, &Vehicle{CabinLength: 2.6}
	low.Amplifier.Filters = append(low.Amplifier.Filters, thielesmall.Filter{Kind: thielesmall.HighPass, Type: thielesmall.Butterworth, Order: 2, Frequency: 25})
	return map[string]Request{"wedge": wedge, "low": low}
}

// TestRankIsDesign: each row of the table says what Run says of that driver: the same kind of box, the same verdict and, to
// within rounding, the same volume, f3, score and maximum level; or that there is none.
func TestRankIsDesign(t *testing.T) {
	const near = 1e-6 // relative: both take the same steps
	for name, req := range rankRequests() {
		for seed, aim := range []Aim{Low, Loud, Flat, Compact} {
			req.Aim = aim
			drivers := invented(fewer(3, 8), uint64(seed))
			rank, err := Rank(context.Background(), req, drivers, 0, nil)
			if err != nil {
				t.Fatal(err)
			}
			if len(rank.Placings) != len(drivers) {
				t.Fatalf("%s, aim %s: %d placings", name, aim, len(rank.Placings))
			}
			kinds := map[Kind]int{}
			for _, p := range rank.Placings {
				one := req
				one.Driver, one.Frame = p.Spec, p.Frame
				r := mustRun(t, one)
				what := fmt.Sprintf("%s, aim %s, %s: ", name, aim, p.Spec.Name)
				kinds[p.Kind]++
				if len(r.Designs) == 0 {
					if p.Kind != "" || p.Reason == "" {
						t.Errorf("%sranked %+v, Run finds nothing", what, p)
					}
					continue
				}
				d := r.Designs[0]
				if p.Kind != d.Kind || p.Verdict != d.Verdict {
					t.Errorf("%s%s, %s; Run says %s, %s", what, p.Kind, p.Verdict, d.Kind, d.Verdict)
					continue
				}
				within(t, what+"net volume", p.NetVolume, d.Box.NetVolume, near*d.Box.NetVolume)
				within(t, what+"score", p.Score, d.Score, near*math.Abs(d.Score))
				if !math.IsNaN(p.F3) || !math.IsNaN(d.Figures.F3) {
					within(t, what+"f3", p.F3, d.Figures.F3, near*d.Figures.F3)
				}
				limits := thielesmall.Limits{AmplifierVolts: r.FullVolts, RatedPower: r.Driver.Power, Nominal: r.Driver.Impedance,
					Xmax: r.Driver.Xmax, PortSpeed: d.Evaluation.SpeedAllowed}
				for i, f := range RankedAt {
					level, cause := d.Circuit.MaxLevel(f, limits)
					within(t, what+"maximum level", p.Maximum[i].Level, level, near*level)
					if p.Maximum[i].LimitedBy != cause {
						t.Errorf("%slimited by %s at %v Hz; Run says %s", what, p.Maximum[i].LimitedBy, f, cause)
					}
				}
			}
			t.Logf("%s, aim %s: %v", name, aim, kinds)
		}
	}
}

// TestRankInOrder: the table is in order, with ranks for those that suit alone, and the same every time.
func TestRankInOrder(t *testing.T) {
	drivers := invented(fewer(16, 60), 7)
	drivers = append(drivers, drivers[3], drivers[4]) // twins: a tie is decided by the order given
	rank := func() *Ranking {
		r, err := Rank(context.Background(), wedgeRequest(), drivers, 0, nil)
		if err != nil {
			t.Fatal(err)
		}
		return r
	}
	r := rank()
	last := 0
	for i, p := range r.Placings {
		if i > 0 && before(r.Placings[i-1], p) > 0 {
			t.Errorf("row %d is before a better one", i)
		}
		if group(&p) == 0 {
			last++
			if p.Rank != last || p.Reason != "" {
				t.Errorf("row %d has rank %d, reason %q", i, p.Rank, p.Reason)
			}
		} else if p.Rank != 0 || p.Reason == "" {
			t.Errorf("row %d does not suit and has rank %d, reason %q", i, p.Rank, p.Reason)
		}
	}
	if last == 0 || last == len(r.Placings) {
		t.Fatalf("%d of %d suit: the test needs both", last, len(r.Placings))
	}
	sources := func(r *Ranking) (all []string) {
		for _, p := range r.Placings {
			all = append(all, p.Spec.Name+p.Source)
		}
		return all
	}
	if again := rank(); !reflect.DeepEqual(sources(r), sources(again)) {
		t.Error("another run gives another order")
	}
	if len(r.Best) != curvesOf || len(r.Best[0].Design.Curves) == 0 || r.Best[0].Spec.Name != r.Placings[0].Spec.Name {
		t.Errorf("the best with curves: %d", len(r.Best))
	}
}

// TestRankStopped: what is done when the ranking is stopped is a whole table.
func TestRankStopped(t *testing.T) {
	ctx, cancel := context.WithCancel(context.Background())
	defer cancel()
	drivers := invented(200, 2)
	r, err := Rank(ctx, wedgeRequest(), drivers, 0, func(done int) {
		if done == 10 {
			cancel()
		}
	})
	if err != nil {
		t.Fatal(err)
	}
	if !r.Stopped || len(r.Placings) < 10 || len(r.Placings) == len(drivers) || r.Total != len(drivers) {
		t.Errorf("stopped %v with %d of %d", r.Stopped, len(r.Placings), r.Total)
	}
}

// TestRankRefuses: a driver without enough data is told of and the others are ranked.
func TestRankRefuses(t *testing.T) {
	drivers := invented(3, 5)
	drivers[1].Spec = thielesmall.Spec{Name: "Bare", Fs: 30}
	r, err := Rank(context.Background(), wedgeRequest(), drivers, 0, nil)
	if err != nil {
		t.Fatal(err)
	}
	if len(r.Placings) != 2 || len(r.Refused) != 1 || r.Refused[0].Source != drivers[1].Source {
		t.Errorf("%d placed, refused %v", len(r.Placings), r.Refused)
	}
	req := wedgeRequest()
	req.Space = nil
	if _, err := Rank(context.Background(), req, drivers, 0, nil); err == nil {
		t.Error("a job without a space is ranked")
	}
}

// TestRankProven: the best of a list of which only the best are built are the best of the same list with all of them built.
func TestRankProven(t *testing.T) {
	proven := fewer(4, 8)
	ctx, requests := context.Background(), rankRequests()
	for seed, x := range []struct {
		space   string
		aim     Aim
		drivers int
	}{{"wedge", Low, fewer(24, 100)}, {"low", Loud, fewer(14, 60)}, {"low", Flat, fewer(10, 30)}, {"wedge", Compact, fewer(10, 30)}} {
		name, aim, req := x.space, x.aim, requests[x.space]
		req.Aim = aim
		drivers := invented(x.drivers, uint64(100+seed))
		all, err := Rank(ctx, req, drivers, 0, nil)
		if err != nil {
			t.Fatal(err)
		}
		some, err := Rank(ctx, req, drivers, proven, nil)
		if err != nil {
			t.Fatal(err)
		}
		suit, built := 0, 0
		for i, p := range all.Placings {
			if p.Estimated {
				t.Fatalf("%s, aim %s: an estimate among all", name, aim)
			}
			if p.Rank > 0 {
				suit++
			}
			if !some.Placings[i].Estimated {
				built++
			}
			if p.Rank == 0 || i >= proven {
				continue
			}
			if q := some.Placings[i]; q.Estimated || q.Spec.Name != p.Spec.Name || q.Score != p.Score || q.Kind != p.Kind {
				t.Errorf("%s, aim %s, row %d: %s (%v, estimated %v), want %s (%v)", name, aim, i+1, q.Spec.Name, q.Score, q.Estimated, p.Spec.Name, p.Score)
			}
		}
		t.Logf("%s, aim %s: %d of %d suit, %d built", name, aim, suit, len(drivers), built)
	}
}

// TestEstimateIsABound: no driver does better as built than its estimate says, but for what the estimate's quick search loses.
func TestEstimateIsABound(t *testing.T) {
	ctx := context.Background()
	for name, aim := range map[string]Aim{"wedge": Low, "low": Loud} {
		req := rankRequests()[name]
		req.Aim = aim
		r, err := newRanker(ctx, req)
		if err != nil {
			t.Fatal(err)
		}
		most, n, memory := math.Inf(-1), 0, &search.Memory{}
		for _, e := range invented(12, 77) {
			built := r.answer(ctx, e, nil, nil)
			if built.err != nil || group(&built.placing) != 0 {
				continue
			}
			n++
			guess := r.estimate(ctx, e, memory)
			if guess.err != nil {
				t.Errorf("%s, aim %s: %s suits and is not estimated: %v", name, aim, e.Spec.Name, guess.err)
				continue
			}
			more := built.placing.Score - guess.bound
			if most = math.Max(most, more); more > aim.search().QuickLoses(guess.bound) {
				t.Errorf("%s, aim %s: %s scores %.3f more than estimated", name, aim, e.Spec.Name, more)
			}
		}
		t.Logf("%s, aim %s: %d suit, at most %.3f over the estimate", name, aim, n, most)
	}
}

// TestEstimatedLoad: an estimate grades the load as wired as a design does: by the amplifier's least load, or else by that of its power.
func TestEstimatedLoad(t *testing.T) {
	e := invented(1, 3)[0]
	e.Spec.Re, e.Spec.Impedance, e.Spec.Power = 1.7, 2, 0 // no rating: the load alone decides
	for _, c := range []struct {
		into, least float64
		fails       bool
	}{{4, 0, true}, {2, 0, false}, {4, 2, false}, {2, 4, true}} {
		req := wedgeRequest()
		req.Amplifier = &Amplifier{Power: 200, Into: c.into, MinimumLoad: c.least}
		r, err := newRanker(context.Background(), req)
		if err != nil {
			t.Fatal(err)
		}
		guess := r.estimate(context.Background(), e, &search.Memory{}).placing
		if built := r.answer(context.Background(), e, nil, nil).placing; (guess.Verdict == DoesNotSuit) != c.fails || (built.Verdict == DoesNotSuit) != c.fails {
			t.Errorf("%+v: estimated %q, designed %q", c, guess.Verdict, built.Verdict)
		}
	}
}

// TestWidestFrame: a frame that is larger than the lesser size of the face it goes on is refused at once, with its reason; no bound
// is given where the space is no plain block.
func TestWidestFrame(t *testing.T) {
	const gap = 0.008
	newRanked := func(req Request) *ranker {
		r, err := newRanker(context.Background(), req)
		if err != nil {
			t.Fatal(err)
		}
		return r
	}
	for face, want := range map[string]float64{"front": 0.25 - gap, "top": 0.5 - 2*gap, "left": 0.25 - gap} {
		req := rankRequests()["low"]
		req.Space.Space, req.Mount.Face = square(1.1, 0.5, 0.25), face
		r := newRanked(req)
		within(t, face+": widest frame", r.widest, want, gap)
		e := invented(1, 3)[0]
		e.Frame.Frame = r.widest + 1e-4
		if p := r.estimate(context.Background(), e, &search.Memory{}).placing; p.Estimated || p.Kind != "" || p.Reason == "" {
			t.Errorf("%s: a frame of %.4f m is answered with %+v", face, e.Frame.Frame, p)
		}
		e.Frame.Frame = r.widest - 1e-4
		if p := r.estimate(context.Background(), e, &search.Memory{}).placing; !p.Estimated {
			t.Errorf("%s: a frame of %.4f m is not estimated", face, e.Frame.Frame)
		}
	}
	if r := newRanked(rankRequests()["wedge"]); !math.IsInf(r.widest, 1) {
		t.Errorf("a wedge takes frames of up to %.3f m", r.widest)
	}
}

var ranked = flag.Int("drivers", 1000, "how many drivers BenchmarkRank ranks")

// BenchmarkRank ranks many invented drivers on all processors by each aim, with the best twenty proven.
func BenchmarkRank(b *testing.B) {
	drivers := invented(*ranked, 1)
	for _, aim := range []Aim{Low, Loud, Flat, Compact} {
		b.Run(string(aim), func(b *testing.B) {
			req := wedgeRequest()
			req.Aim = aim
			for b.Loop() {
				r, err := Rank(context.Background(), req, drivers, 20, nil)
				if err != nil {
					b.Fatal(err)
				}
				built := 0
				for i := range r.Placings {
					if !r.Placings[i].Estimated {
						built++
					}
				}
				b.ReportMetric(float64(built), "built")
			}
			b.ReportMetric(float64(b.N*len(drivers))/b.Elapsed().Seconds(), "drivers/s")
		})
	}
}

// fewer is the number of drivers that a test looks at, and that with -long.
func fewer(few, many int) int {
	if *long {
		return many
	}
	return few
}
