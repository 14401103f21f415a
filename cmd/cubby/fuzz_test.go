package main

import (
	"bytes"
	"compress/zlib"
	"context"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"math"
	"os"
	"path/filepath"
	"regexp"
	"strings"
	"testing"
	"time"

	"cubby/internal/design"
	"cubby/internal/export"
	"cubby/internal/job"
	"cubby/internal/render"
)

// fuzzTime is what one job may take here, with the fuzzer's instruments in the code and other tests beside it.
const fuzzTime = 60 * time.Second

// FuzzDesign takes any bytes as a job from the file to the report.
func FuzzDesign(f *testing.F) {
	names, err := filepath.Glob("../../examples/*.yaml")
	if err != nil || len(names) == 0 {
		f.Fatal(names, err)
	}
	for _, name := range names {
		data, err := os.ReadFile(name)
		if err != nil {
			f.Fatal(err)
		}
		f.Add(data)
	}
	f.Fuzz(throughAll)
}

// FuzzDesignValues makes a job that can be read of any bytes: spaces, blocks, drivers and limits of all sizes.
func FuzzDesignValues(f *testing.F) {
	f.Add([]byte{})
	f.Add([]byte("0123456789abcdefghijklmnopqrstuvwxyz"))
	f.Add(bytes.Repeat([]byte{255}, 120))
	f.Add(bytes.Repeat([]byte{0, 128}, 60))
	f.Add(bytes.Repeat([]byte{7, 99, 200}, 60))
	f.Fuzz(func(t *testing.T, data []byte) { throughAll(t, fuzzJob(data)) })
}

// throughAll reads a job, judges or designs its box, and writes everything that can be written of it: nothing panics,
// nothing takes for ever, and no number in any output is NaN or infinite.
func throughAll(t *testing.T, data []byte) {
	ctx, cancel := context.WithTimeout(context.Background(), fuzzTime)
	defer cancel()
	open := func(name string) ([]byte, error) {
		if name == "drivers/harrow-10.yaml" || name == "drivers/coulter-12.yaml" {
			return os.ReadFile(filepath.Join("../../examples", name))
		}
		return nil, &fs.PathError{Op: "open", Path: name, Err: fs.ErrNotExist}
	}
	grid := design.Grid{From: 10, To: 200, Points: 12}
	req, err := job.Parse("job.yaml", data, open)
	if err != nil {
		if req, err := job.ParseCheck("job.yaml", data, open); err == nil {
			req.Grid = grid
			judgeAll(t, ctx, req, data)
		}
		return
	}
	req.Grid = grid
	r, err := design.Run(ctx, *req)
	if err != nil {
		sensible(t, err, data)
		return
	}
	var b bytes.Buffer
	finite(t, "JSON", data, &b, export.JSON(&b, r, export.Head{}))
	b.WriteString(summary(r, "job.pdf", true))
	finite(t, "summary", data, &b, nil)
	if len(r.Designs) > 0 {
		finite(t, "curves", data, &b, export.Curves(&b, r.Designs[0].Curves))
		finite(t, "parts", data, &b, export.Parts(&b, &r.Designs[0]))
	}
	checkPages(t, data, func(w io.Writer, o render.Options) error { return render.Document(w, r, o) })
}

func judgeAll(t *testing.T, ctx context.Context, req *design.Request, data []byte) {
	r, err := design.CheckBoxes(ctx, *req)
	if err != nil {
		sensible(t, err, data)
		return
	}
	var b bytes.Buffer
	finite(t, "JSON", data, &b, export.CheckJSON(&b, r, export.Head{}))
	b.WriteString(checkSummary(r, "job.pdf"))
	finite(t, "summary", data, &b, nil)
	checkPages(t, data, func(w io.Writer, o render.Options) error { return render.CheckReport(w, r, o) })
}

// sensible holds that a refusal is one of lines that can be read, and not for want of time.
func sensible(t *testing.T, err error, data []byte) {
	t.Helper()
	if errors.Is(err, context.DeadlineExceeded) {
		t.Fatalf("more than %v for\n%s", fuzzTime, data)
	}
	if s := err.Error(); s == "" || strings.ContainsAny(s, "\r\x00\x1b") || notFinite.MatchString(s) || len(s) > 5000 {
		t.Fatalf("error %q for\n%s", s, data)
	}
}

// notFinite finds the ways in which Go prints what is no number.
var notFinite = regexp.MustCompile(`\bNaN\b|[+-]Inf\b|\bInf\b|%!`)

// finite holds that an output was written and holds no number that is none, and empties it.
func finite(t *testing.T, what string, data []byte, b *bytes.Buffer, err error) {
	t.Helper()
	if err != nil {
		t.Fatalf("%s: %v for\n%s", what, err, data)
	}
	if at := notFinite.FindIndex(b.Bytes()); at != nil {
		t.Fatalf("%s: ...%s... for\n%s", what, b.Bytes()[max(0, at[0]-80):min(b.Len(), at[1]+40)], data)
	}
	b.Reset()
}

// checkPages prints a report and looks into its pages.
func checkPages(t *testing.T, data []byte, print func(io.Writer, render.Options) error) {
	t.Helper()
	paper := []string{"a4", "letter"}[len(data)%2]
	var b bytes.Buffer
	if err := print(&b, render.Options{Paper: paper}); err != nil {
		t.Fatalf("%s: %v for\n%s", paper, err, data)
	}
	pages := b.Bytes()
	for {
		_, after, ok := bytes.Cut(pages, []byte("/FlateDecode"))
		if !ok {
			break
		}
		pages = after
		_, stream, ok := bytes.Cut(after, []byte("stream\n"))
		if !ok {
			break
		}
		z, err := zlib.NewReader(bytes.NewReader(stream))
		if err != nil {
			continue
		}
		var text bytes.Buffer
		io.Copy(&text, io.LimitReader(z, 1<<22))
		if bytes.Contains(text.Bytes()[:min(text.Len(), 4)], []byte{0}) {
			continue // a font
		}
		if at := operand.FindIndex(text.Bytes()); at != nil {
			t.Fatalf("%s: ...%q... for\n%s", paper, text.Bytes()[max(0, at[0]-60):min(text.Len(), at[1]+20)], data)
		}
	}
}

// operand finds what is no number among those of a drawing.
var operand = regexp.MustCompile(`(?m)(?:^| )[+-]?(?:NaN|Inf)(?: |$)`)

// dice makes choices of bytes; without any more it chooses the first of everything.
type dice []byte

func (d *dice) byte() int {
	if len(*d) == 0 {
		return 0
	}
	b := (*d)[0]
	*d = (*d)[1:]
	return int(b)
}

func (d *dice) pick(words ...string) string { return words[d.byte()%len(words)] }

func (d *dice) chance(n int) bool { return d.byte()%n == n-1 }

// size is a number from lo to hi, evenly in its logarithm, with three figures.
func (d *dice) size(lo, hi float64) string {
	x := float64(d.byte()*256+d.byte()) / 65535
	return fmt.Sprintf("%.3g", lo*math.Pow(hi/lo, x))
}

// fuzzJob writes a job whose lengths are in millimetres.
func fuzzJob(data []byte) []byte {
	d := dice(data)
	var b strings.Builder
	line := func(format string, args ...any) { fmt.Fprintf(&b, format+"\n", args...) }
	line("units: mm\ntitle: %s", d.pick("a", "Ω ″ µ", "a title of a good many words that goes on and on"))
	line("driver:\n  fs: %s Hz\n  qms: %s\n  qes: %s\n  vas: %s l\n  sd: %s cm2\n  re: %s ohm", d.size(10, 200), d.size(0.5, 20),
		d.size(0.1, 2), d.size(0.5, 300), d.size(20, 1500), d.size(0.3, 20))
	line("  xmax: %s mm\n  power: %s W\n  impedance: %s ohm\n  frame: %s mm\n  cutout: %s mm\n  depth: %s mm", d.size(0.5, 60), d.size(1, 5000),
		d.size(0.5, 32), d.size(120, 400), d.size(40, 119), d.size(10, 250))
	if d.chance(2) {
		line("  le: %s mH\n  magnet: %s mm\n  displacement: %s l\n  vent: true\n  coils: {count: 2, data_for: series}", d.size(0.01, 20), d.size(20, 400), d.size(0.01, 9))
	}
	if d.chance(2) {
		line("amplifier: {power: %s W, into: %s ohm, highpass: %s Hz, lowpass: %s Hz}", d.size(1, 1000), d.size(0.5, 16), d.size(5, 60), d.size(61, 500))
	}
	if d.chance(2) {
		line("vehicle: {cabin_length: %s m}", d.size(0.5, 15))
	}
	if d.chance(3) {
		line("air: {temperature: %s C, pressure: %s kPa, humidity: %s %%}", d.size(0.1, 60), d.size(60, 105), d.size(1, 100))
	}
	d.space(line)
	line("mount: {face: %s, count: %s, wiring: %s, air_in_front: %s}", d.pick("front", "top", "back", "left", "right", "bottom", "front", "slope"),
		d.pick("1", "1", "1", "1", "2", "8"), d.pick("{drivers: parallel, coils: series}", "{drivers: series, coils: parallel}"), d.size(1, 100))
	line("wood: {sheet: MDF, thickness: %s, joints: %s, ends: %s, front_layers: %s}", d.size(4, 40), d.pick("butt", "mitre", "rabbet"),
		d.pick("over", "over", "inside", "rabbet"), d.pick("1", "1", "2", "3"))
	if d.chance(2) {
		line("stock: [{length: %s, width: %s, count: %s, price: %s}]", d.size(100, 5000), d.size(100, 3000), d.pick("1", "2", "9"), d.size(1, 1000))
		line("saw: {kerf: %s, round_to: %s}", d.size(0.5, 9), d.size(0.1, 10))
	}
	line("aim: %s\nconsider: [%s]", d.pick("low", "flat", "loud", "compact"), d.pick("sealed, vented", "vented", "sealed"))
	if d.chance(3) {
		line("limits: {net_volume: %s l, tuning: %s Hz, port_speed: %s m/s}", d.size(0.5, 400), d.size(6, 150), d.size(1, 90))
	}
	return []byte(b.String())
}

// space writes the cavity: a rectangle, or corners on a wave round a circle.
func (d *dice) space(line func(string, ...any)) {
	line("cavity:\n  width: %s\n  gap: %s", d.size(120, 2500), d.size(0.1, 30))
	lo, hi := 1.0, 90.0 // where blocks begin, so that they lie in the space
	if corners := d.byte() % 13; corners < 5 {
		line("  depth: %s\n  height: %s", d.size(100, 1200), d.size(100, 1200))
	} else {
		lo, hi = 560, 700
		var all []string
		for i := range corners {
			a := 2 * math.Pi * float64(i) / float64(corners)
			r := 150 + 2*float64(d.byte())
			all = append(all, fmt.Sprintf("[%.0f, %.0f]", 600+r*math.Cos(a), 600+r*math.Sin(a)))
		}
		line("  profile: [%s]", strings.Join(all, ", "))
	}
	if d.chance(4) {
		line("  passage: {width: %s, height: %s}", d.size(50, 2000), d.size(50, 2000))
	}
	if n := d.byte() % 6; n > 0 && d.chance(2) {
		line("  blocks:")
		for i := range n {
			line("    - {name: b%d, from_left: %s, width: %s, from_front: %s, depth: %s, from_floor: %s, height: %s}", i, d.size(1, 119), d.size(1, 300),
				d.size(lo, hi), d.size(1, 300), d.size(lo, hi), d.size(1, 300))
		}
	}
}
