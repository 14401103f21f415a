package job

import (
	"context"
	"errors"
	"flag"
	"io/fs"
	"math"
	"os"
	"path/filepath"
	"reflect"
	"strings"
	"testing"

	"cubby/internal/cavity"
	"cubby/internal/design"
	"cubby/internal/nest"
	"cubby/internal/panels"
	"cubby/internal/plane"
	"cubby/internal/thielesmall"
	"cubby/internal/unit"

	"gonum.org/v1/gonum/spatial/r3"
)

func readFile(t testing.TB, name string) []byte {
	t.Helper()
	data, err := os.ReadFile(name)
	if err != nil {
		t.Fatal(err)
	}
	return data
}

// noFiles is an Open for jobs that name no files.
func noFiles(name string) ([]byte, error) {
	return nil, &fs.PathError{Op: "open", Path: name, Err: fs.ErrNotExist}
}

// near reports whether two requests are equal, floats to a few units in the last place (the wanted ones are products).
func near(a, b reflect.Value) bool {
	if a.Kind() != b.Kind() {
		return false
	}
	switch a.Kind() {
	case reflect.Float64:
		x, y := a.Float(), b.Float()
		return x == y || math.Abs(x-y) <= 1e-14*math.Max(math.Abs(x), math.Abs(y))
	case reflect.Struct:
		for i := 0; i < a.NumField(); i++ {
			if !near(a.Field(i), b.Field(i)) {
				return false
			}
		}
		return true
	case reflect.Pointer:
		if a.IsNil() || b.IsNil() {
			return a.IsNil() == b.IsNil()
		}
		return near(a.Elem(), b.Elem())
	case reflect.Slice, reflect.Array:
		if a.Len() != b.Len() {
			return false
		}
		for i := 0; i < a.Len(); i++ {
			if !near(a.Index(i), b.Index(i)) {
				return false
			}
		}
		return true
	}
	return reflect.DeepEqual(a.Interface(), b.Interface())
}

func at(v float64) *float64 { return &v }

func TestParseEverything(t *testing.T) {
	const in, cuft = 0.0254, 0.028316846592
	got, err := Parse("everything.yaml", readFile(t, "testdata/everything.yaml"), noFiles)
	if err != nil {
		t.Fatal(err)
	}
	roof := []cavity.Height{{Height: 7 * in}, {Depth: 13.5 * in, Height: 8.35 * in}, {Depth: 15 * in, Height: 8.5 * in}}
	floor := []cavity.Height{{}, {Depth: 13.5 * in}, {Depth: 15 * in, Height: 8.5 * in}}
	want := &design.Request{
		Title: `Everything that a job can say: 3" test`, Date: "2026-03-14", Contact: "bench two", Author: "A. Fitter", Revision: "C",
		Units: unit.Inch,
		Driver: thielesmall.Spec{Name: "Plough 12", Fs: 25, Qts: 0.4, Qes: 0.44, Qms: 4.4, Vas: 2 * cuft, Sd: 76 * in * in, Diameter: 0.25,
			Re: 3.6, L2: 0.002, R2: 12, Bl: 14, Mms: 0.2, Cms: 0.0002, Rms: 7, Xmax: 0.014, Xmech: 0.02, Power: 500, Impedance: 4,
			Coils: thielesmall.Coils{Count: 2, Impedance: 2, Re: 1.8, DataFor: thielesmall.Series}, Displacement: 150 * in * in * in},
		Frame: panels.Driver{Name: "Plough 12", Frame: 12.5 * in, Cutout: 11.125 * in, Depth: 5.5 * in, Magnet: 7 * in, Displacement: 150 * in * in * in,
			Circle: 11.75 * in, Bolts: 8, Hole: 7.0 / 32 * in, Vent: true, Mass: 20 * 0.45359237, Cone: panels.Cone{Excursion: 0.014, Sd: 76 * in * in}},
		Amplifier: &design.Amplifier{Power: 500, Into: 2, MinimumLoad: 1, Source: 0.01, Leads: 0.02,
			Filters: []thielesmall.Filter{
				{Kind: thielesmall.HighPass, Type: thielesmall.Butterworth, Order: 2, Frequency: 25},
				{Kind: thielesmall.LowPass, Type: thielesmall.LinkwitzRiley, Order: 4, Frequency: 90},
				{Kind: thielesmall.PeakBoost, Order: 2, Frequency: 45, Gain: 6, Q: 1.2}},
			Assumed: []string{"high-pass 25 Hz taken as second order Butterworth (12 dB per octave)"}},
		Vehicle: &design.Vehicle{CabinLength: 2.9, Leak: 15},
		Air:     thielesmall.Conditions{Temperature: 38 * 5.0 / 9, Pressure: 101325, Humidity: 0.4},
		Space: &design.Space{
			Space: &cavity.Space{Gap: 0.375 * in,
				Stations: []cavity.Station{
					{Back: 15 * in, Roof: roof, Floor: floor},
					{FromLeft: 44 * in, Back: 15 * in, Roof: roof, Floor: floor}},
				Blocks: []cavity.Block{cavity.BoxBlock("seat rail", r3.Vec{X: 20 * in}, r3.Vec{X: 22 * in, Y: 13.5 * in, Z: 1.25 * in})}},
			Passage: &cavity.Opening{Width: 30 * in, Height: 10 * in}},
		Mount: design.Mount{Face: "top", Count: 2, Wiring: thielesmall.Wiring{Coils: thielesmall.Series, Drivers: thielesmall.Parallel},
			AirInFront: 1.5 * in, Surround: 0.625 * in, Mounting: panels.Mounting{Recess: 3.0 / 16 * in, Chamfer: in / 8, Fastening: panels.Insert}},
		Wood: panels.Wood{Board: "MDF", Thickness: 0.745 * in, Nominal: 0.75 * in, Panels: map[string]float64{"top": 0.018796, "left end": 0.019304},
			Density: 740, Joints: panels.Mitre, Ends: panels.EndsRabbeted, FrontLayers: 2, LayerInside: true, Flush: in / 32,
			Covering: &panels.Covering{Kind: "carpet", Thickness: 5.0 / 32 * in, Faces: []string{"front", "top", "left", "right"}}},
		Terminal: &panels.Plate{Width: 4 * in, Height: 2.5 * in, Radius: in / 4, Depth: 1.75 * in, Face: "left", Screws: 4, Circle: 5 * in, Hole: 3.0 / 32 * in},
		Fixings: []panels.FixingPoint{
			{Face: "bottom", Left: at(5 * in), Front: at(3 * in), Kind: panels.FixingInsert},
			{Face: "left", Front: at(4 * in), Bottom: at(4 * in), Kind: panels.FixingBracket, Hole: 9.0 / 32 * in}},
		Flange:  panels.Flange{Rim: 0.75 * in, Rebate: 5.0 / 32 * in, Screws: 6, Hole: 3.0 / 32 * in},
		Corners: []panels.CornerWish{{Between: [2]string{"bottom", "back"}, Joint: panels.Butt}},
		Stock: []nest.Stock{
			{Board: "MDF", Thickness: 18923, Length: 2463800, Width: 1244600, Count: 2, Price: 54, Trim: -1},
			{Name: "rack 3", Board: "birch", Thickness: 12000, Length: 600000, Width: 400000, Offcut: true}},
		Saw: design.Saw{Kerf: in / 8, Trim: in / 4, RoundTo: in / 32, Depth: 0.054, DepthAt45: 0.038, MaxTilt: math.Pi / 4,
			HandleLength: 48 * in, HandleWidth: 30 * in, HandleMass: 44 * 0.45359237},
		Aim: design.Compact, Kinds: []design.Kind{design.Vented},
		Limits: design.Limits{PortSpeed: 17, Qtc: [2]float64{0.6, 0.95}, Lowest: 25, Peak: 1.5, Dip: 2,
			Volume: [2]float64{0.015, cuft}, Tuning: [2]float64{32, 32}},
		Projection: design.FirstAngle, Prices: map[design.Item]float64{design.Screws: 6.5, design.Glue: 4, design.Covering: 30},
	}
	a, b := reflect.ValueOf(*got), reflect.ValueOf(*want)
	for i := 0; i < a.NumField(); i++ {
		if !near(a.Field(i), b.Field(i)) {
			t.Errorf("%s: got %+v\nwant %+v", a.Type().Field(i).Name, a.Field(i).Interface(), b.Field(i).Interface())
		}
	}
}

// TestParseMinimal holds that what a job does not say stays zero.
func TestParseMinimal(t *testing.T) {
	got, err := Parse("minimal.yaml", readFile(t, "testdata/minimal.yaml"), nil)
	if err != nil {
		t.Fatal(err)
	}
	if got.Amplifier != nil || got.Vehicle != nil || got.Space.Passage != nil || got.Stock != nil || got.Kinds != nil ||
		got.Air != (thielesmall.Conditions{}) || got.Mount != (design.Mount{}) || got.Saw != (design.Saw{}) || got.Limits != (design.Limits{}) ||
		got.Aim != "" || got.Space.Gap != 0 || got.DriverFile != "" {
		t.Errorf("a minimal job says more than is written: %+v", got)
	}
	const deep, high = 14 * 0.0254, 9 * 0.0254
	for i, s := range got.Space.Stations {
		want := cavity.Station{FromLeft: s.FromLeft, Back: deep, Roof: []cavity.Height{{Height: high}, {Depth: deep, Height: high}}, Floor: []cavity.Height{{}, {Depth: deep}}}
		if !near(reflect.ValueOf(s), reflect.ValueOf(want)) {
			t.Errorf("station %d of a rectangle: got %v, want %v", i+1, s, want)
		}
	}
}

var update = flag.Bool("update", false, "rewrite the wanted faults at the ends of the files in testdata/bad")

// wantMark begins each line at the end of a bad job that names one of its faults.
const wantMark = "# want: "

// TestParseCheck holds that all that can be said of ready-made boxes arrives in SI.
func TestParseCheck(t *testing.T) {
	const in = 0.0254
	q, err := ParseCheck("boxes.yaml", readFile(t, "testdata/boxes.yaml"), nil)
	if err != nil {
		t.Fatal(err)
	}
	want := []design.ReadyBox{
		{Name: "tube", Kind: design.Vented, NetVolume: 1.35 * 0.028316846592,
			Shell: design.Shell{Width: 20 * in, Wall: 0.75 * in, Section: plane.Polygon{{X: 0, Y: 0}, {X: 14 * in, Y: 0}, {X: 14 * in, Y: 15 * in}, {X: 0, Y: 15 * in}}},
			Port:  design.ReadyPort{Count: 2, Diameter: 3 * in, Length: 8 * in, Ends: [2]design.EndKind{design.EndFlush, design.EndNear}, Friction: true},
			LeakQ: 7, Hole: design.Hole{Opening: 9.25 * in, Depth: 5.5 * in, Circle: 10 * in}, Mass: 30 * 0.45359237, Price: 99},
		{Name: "slot", Kind: design.Vented,
			Shell: design.Shell{Width: 20 * in, Wall: 0.018, Section: plane.Polygon{{X: 0, Y: 0}, {X: 14 * in, Y: 0}, {X: 10 * in, Y: 15 * in}, {X: 0, Y: 15 * in}}},
			Port:  design.ReadyPort{Height: 2 * in, Width: 10 * in, Length: 12 * in, Ends: [2]design.EndKind{design.EndCorner, design.EndWall}, Tuning: 33}},
		{Kind: design.Sealed, NetVolume: 0.02, Filling: design.Filling{Fraction: 0.8, Density: 12}},
		{Kind: design.Sealed, NetVolume: 0.02, Filling: design.Filling{Gain: 1.15, Q: 8}},
		{Kind: design.Vented, NetVolume: 0.04, Port: design.ReadyPort{Tuning: 38}},
	}
	if !near(reflect.ValueOf(q.Boxes), reflect.ValueOf(want)) {
		t.Errorf("got %+v\nwant %+v", q.Boxes, want)
	}
	if q.Space != nil || q.Wood.Thickness != 0 {
		t.Errorf("a check without space and wood has %+v and %+v", q.Space, q.Wood)
	}
}

// TestBadJobs reads each file of testdata/bad, which names its faults, all of them and in order, in lines at its end.
func TestBadJobs(t *testing.T) { checkBad(t, "testdata/bad/*.yaml", 90, Parse) }

// TestBadChecks does the same for jobs whose box is to be judged.
func TestBadChecks(t *testing.T) { checkBad(t, "testdata/badcheck/*.yaml", 10, ParseCheck) }

func checkBad(t *testing.T, pattern string, atLeast int, read func(string, []byte, Open) (*design.Request, error)) {
	t.Helper()
	names, err := filepath.Glob(pattern)
	if err != nil || len(names) < atLeast {
		t.Fatalf("%s: %d files (%v), want at least %d", pattern, len(names), err, atLeast)
	}
	for _, name := range names {
		data := readFile(t, name)
		var want []string
		for _, line := range strings.Split(string(data), "\n") {
			if text, ok := strings.CutPrefix(line, wantMark); ok {
				want = append(want, text)
			}
		}
		open := func(name string) ([]byte, error) {
			data, err := os.ReadFile(filepath.Join("testdata", "bad", "named", filepath.FromSlash(name)))
			return data, err
		}
		request, err := read("job.yaml", data, open)
		if *update {
			rewrite(t, name, data, err)
			continue
		}
		if len(want) == 0 || request != nil {
			t.Errorf("%s: %d faults are named, request %v: want some and no request", name, len(want), request)
		}
		if got := text(err); got != strings.Join(want, "\n") {
			t.Errorf("%s: got\n%s\nwant\n%s", name, got, strings.Join(want, "\n"))
		}
		var faults Faults
		if !errors.As(err, &faults) {
			t.Errorf("%s: error is %T, want Faults", name, err)
		}
	}
}

// rewrite puts the faults that were found at the end of a bad job in place of those that stand there.
func rewrite(t *testing.T, name string, data []byte, err error) {
	t.Helper()
	body, _, _ := strings.Cut(string(data), wantMark)
	if err != nil {
		body += wantMark + strings.ReplaceAll(err.Error(), "\n", "\n"+wantMark) + "\n"
	}
	if err := os.WriteFile(name, []byte(body), 0o644); err != nil {
		t.Fatal(err)
	}
}

func text(err error) string {
	if err == nil {
		return ""
	}
	return err.Error()
}

// TestExamples holds that every example and both starters read without a fault.
func TestExamples(t *testing.T) {
	names, err := filepath.Glob("../../examples/*.yaml")
	if err != nil || len(names) < 4 {
		t.Fatalf("examples: %v (%v), want at least 4", names, err)
	}
	for _, name := range names {
		open := func(file string) ([]byte, error) { return os.ReadFile(filepath.Join("../../examples", file)) }
		read, judges := Parse, strings.HasPrefix(filepath.Base(name), "check-")
		if judges {
			read = ParseCheck
		}
		q, err := read(name, readFile(t, name), open)
		if err != nil {
			t.Errorf("%v", err)
			continue
		}
		checkConsistent(t, name, q.Driver)
		if q.Title == "" || q.Date == "" || q.Space == nil || !judges && len(q.Stock) == 0 || judges != (len(q.Boxes) > 0) {
			t.Errorf("%s: an example should say its title, date, space, and its stock or box: %+v", name, q)
		}
	}
	for _, sys := range []unit.System{unit.Metric, unit.Inch} {
		q, err := Parse("starter.yaml", Starter(sys), nil)
		if err != nil {
			t.Errorf("Starter(%v): %v", sys, err)
			continue
		}
		checkConsistent(t, "starter", q.Driver)
		if q.Units != sys {
			t.Errorf("Starter(%v) is in %v", sys, q.Units)
		}
	}
}

// checkConsistent holds that an invented driver's redundant values agree within 1 %: half of that is their rounding.
// Cms = Vas/(rho c^2 Sd^2), Mms = 1/(ws^2 Cms), Bl^2 = ws Mms Re/Qes (Small, "Direct-radiator loudspeaker system
// analysis", 1972), rho c^2 = 141 911 Pa at 20 C, 101.325 kPa, 50 %.
func checkConsistent(t *testing.T, name string, s thielesmall.Spec) {
	t.Helper()
	ws := 2 * math.Pi * s.Fs
	cms := s.Vas / (141911 * s.Sd * s.Sd)
	mms := 1 / (ws * ws * cms)
	bl := math.Sqrt(ws * mms * s.Re / s.Qes)
	for _, c := range []struct {
		what             string
		stated, computed float64
	}{{"cms", s.Cms, cms}, {"mms", s.Mms, mms}, {"bl", s.Bl, bl}, {"qts", s.Qts, s.Qes * s.Qms / (s.Qes + s.Qms)}} {
		if c.stated != 0 && math.Abs(c.stated/c.computed-1) > 0.01 {
			t.Errorf("%s: %s %s is %v, the rest gives %v", name, s.Name, c.what, c.stated, c.computed)
		}
	}
}

// TestStarterBoxesCanBeUncommented holds that the ready-made box in the comments of both starters reads as it stands, and is
// one that suits.
func TestStarterBoxesCanBeUncommented(t *testing.T) {
	for _, sys := range []unit.System{unit.Metric, unit.Inch} {
		before, after, ok := strings.Cut(string(Starter(sys)), "\n#box:\n#")
		if !ok {
			t.Fatalf("Starter(%v) has no box in its comments", sys)
		}
		q, err := ParseCheck("starter.yaml", []byte(before+"\nbox:\n"+strings.ReplaceAll(after, "\n#", "\n")), nil)
		if err != nil {
			t.Errorf("%v: %v", sys, err)
			continue
		}
		b := q.Boxes[0]
		if len(q.Boxes) != 1 || b.Wall == 0 || b.Port.Diameter == 0 || b.Port.Tuning == 0 || b.Depth == 0 || b.Section == nil {
			t.Errorf("%v: %+v", sys, q.Boxes)
		}
		c, err := design.CheckBoxes(context.Background(), *q)
		if err != nil || c.Boxes[0].Verdict == design.DoesNotSuit {
			t.Errorf("%v: the box that stands as an example does not suit: %v %+v", sys, err, c)
		}
	}
}

// TestStartersSayTheSame holds that the two starters describe the same job to the nearest few millimetres.
func TestStartersSayTheSame(t *testing.T) {
	a, errA := Parse("mm", Starter(unit.Metric), nil)
	b, errB := Parse("in", Starter(unit.Inch), nil)
	if errA != nil || errB != nil {
		t.Fatal(errA, errB)
	}
	p, q := a.Space.Stations, b.Space.Stations
	same := len(p) == len(q)
	for i := 0; same && i < len(p); i++ {
		same = math.Abs(p[i].FromLeft-q[i].FromLeft) < 0.005 && math.Abs(p[i].Back-q[i].Back) < 0.005 && len(p[i].Roof) == len(q[i].Roof)
		for k := 0; same && k < len(p[i].Roof); k++ {
			same = math.Abs(p[i].Roof[k].Depth-q[i].Roof[k].Depth) < 0.005 && math.Abs(p[i].Roof[k].Height-q[i].Roof[k].Height) < 0.005
		}
	}
	if a.Driver.Fs != b.Driver.Fs || a.Driver.Vas != b.Driver.Vas || a.Aim != b.Aim || !same {
		t.Errorf("the starters differ: %+v and %+v", a, b)
	}
}
