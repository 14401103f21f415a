package job

import (
	"regexp"
	"time"

	"cubby/internal/design"
	"cubby/internal/unit"

	"gopkg.in/yaml.v3"
)

// Limits of the lengths of texts, in characters: what fits its place in print.
const (
	titleLength = 100
	lineLength  = 80 // contact, author
	nameLength  = 60 // drivers, boards, blocks
	shortLength = 30 // revision
)

// Open reads a file that a job names: the name as written, relative to the job's folder.
type Open func(name string) ([]byte, error)

// A jobReader reads a job and the files that it names.
type jobReader struct {
	reader
	open    Open
	request *design.Request
	anyone  bool // the driver is not the job's
	judge   bool // the job's box is to be judged, none is to be designed
	said    stockNotes
	others  Faults // of the files that the job names
}

// Parse reads a job. name is what faults call the file; open reads the files that the job names and may be nil if it
// names none. All faults are returned together as Faults; the Request is nil then. Otherwise every quantity of the
// Request is in SI, finite and within its range, and what the job does not say is zero.
func Parse(name string, data []byte, open Open) (*design.Request, error) {
	return parse(name, data, open, jobReader{})
}

// ParseRank reads a job whose space is designed for other drivers than its own: the driver is not required.
func ParseRank(name string, data []byte, open Open) (*design.Request, error) {
	return parse(name, data, open, jobReader{anyone: true})
}

// ParseCheck reads a job whose box is a ready-made one to be judged: box is required, cavity and wood are not.
func ParseCheck(name string, data []byte, open Open) (*design.Request, error) {
	return parse(name, data, open, jobReader{judge: true})
}

// ParsePairs reads a job whose ready-made boxes are judged for other drivers than its own: box is required, the driver
// is not.
func ParsePairs(name string, data []byte, open Open) (*design.Request, error) {
	return parse(name, data, open, jobReader{judge: true, anyone: true})
}

// HasBox reports whether a job describes a ready-made box.
func HasBox(name string, data []byte) bool {
	root, _ := document(name, data)
	return has(root, "box")
}

// ParseMeasured reads a job of which the finished box was measured: one whose box is described is read as by
// ParseCheck, any other as by Parse.
func ParseMeasured(name string, data []byte, open Open) (*design.Request, error) {
	root, _ := document(name, data)
	return parse(name, data, open, jobReader{judge: has(root, "box")})
}

func parse(name string, data []byte, open Open, j jobReader) (*design.Request, error) {
	j.file, j.open, j.request = name, open, &design.Request{}
	root, faults := document(j.file, data)
	if faults != nil {
		return nil, faults
	}
	switch {
	case !j.vet(root, 0):
	case has(root, "fs") && !has(root, "driver"):
		j.note(root, "", "this is a driver file; a job names it beside what was measured, as driver: %s", j.file)
	default:
		j.read(root)
	}
	if all := append(inOrder(j.faults), j.others...); len(all) > 0 {
		return nil, all
	}
	return j.request, nil
}

func (j *jobReader) read(root *yaml.Node) {
	q := j.request
	j.units(root)
	q.Units = j.sys
	fields := map[string]field{
		"title":     j.text(&q.Title, titleLength),
		"date":      j.date,
		"contact":   j.text(&q.Contact, lineLength),
		"author":    j.text(&q.Author, lineLength),
		"revision":  j.text(&q.Revision, shortLength),
		"units":     later, // read first, by units
		"driver":    j.driver,
		"amplifier": j.amplifier,
		"vehicle":   j.vehicle,
		"air":       j.air,
		"cavity":    j.cavity,
		"placing":   j.placing,
		"mount":     j.mount,
		"wood":      j.wood,
		"corners":   j.cornerWishes,
		"stock":     j.stock,
		"saw":       j.sawOf,
		"limits":    j.limits,
		"aim":       choice(&j.reader, &q.Aim, "flat|low|loud|compact", design.Flat, design.Low, design.Loud, design.Compact),
		"consider":  j.consider,
		"drawing":   j.drawing,
		"prices":    j.prices,
		"box":       j.box,
		"terminal":  j.terminal,
		"fixings":   j.fixings,
		"port":      j.port,
		"passive":   j.radiators(&q.Passive),
	}
	required := []need{
		{"driver", "the name of a driver file, or the driver's values"},
		{"cavity", "the space as measured: its stations, or its width and its profile (or depth and height)"},
		{"wood", "the board: {sheet: MDF, thickness: 18 mm}"},
	}
	switch {
	case j.judge && j.anyone:
		required = []need{{"box", "the ready-made boxes: [{name: shelf box, kind: sealed, net_volume: 20 l, opening: 236 mm}]"}}
	case j.judge:
		required = []need{required[0], {"box", "the ready-made box: {kind: sealed, net_volume: 20 l, opening: 236 mm}"}}
	case j.anyone:
		required = required[1:]
	case has(root, "box"):
		required = nil // one fault says it all
	}
	m := j.object(root, "", fields, required...)
	j.settle(m)
	q.Sample = untouched(root, j.sys)
	if j.bare > 0 && m.node != nil && !m.has("units") {
		j.note(root, "units", "missing: line %d has a length without a unit; say units: in or units: mm", j.bare)
	}
}

// has reports whether a mapping has a key.
func has(n *yaml.Node, key string) bool { return valueOf(n, key) != nil }

// valueOf is the first value of a mapping under a key, or nil.
func valueOf(n *yaml.Node, key string) *yaml.Node {
	if n == nil || n.Kind != yaml.MappingNode {
		return nil
	}
	for i := 0; i+1 < len(n.Content); i += 2 {
		if n.Content[i].Kind == yaml.ScalarNode && n.Content[i].Value == key {
			return n.Content[i+1]
		}
	}
	return nil
}

// units reads the key units of a file before all others, for bare lengths depend on it.
func (r *reader) units(root *yaml.Node) {
	n := valueOf(root, "units")
	if n == nil {
		return
	}
	before := len(r.faults)
	choice(r, &r.sys, "in|mm", unit.Inch, unit.Metric)(n, "units")
	r.stated = len(r.faults) == before && n.Kind == yaml.ScalarNode
}

func (j *jobReader) date(n *yaml.Node, path string) {
	const want = "a date such as 2026-03-14"
	if !j.scalar(n, path, want) {
		return
	}
	if _, err := time.Parse(time.DateOnly, n.Value); err != nil {
		j.fault(n, path, "want %s", want)
		return
	}
	j.request.Date = n.Value
}

func (j *jobReader) box(n *yaml.Node, path string) {
	if j.judge {
		j.boxes(n, path)
		return
	}
	j.note(n, path, "describes a ready-made box: judge it with cubby check; a job that is to be designed leaves it out")
}

func (j *jobReader) consider(n *yaml.Node, path string) {
	seen := map[design.Kind]bool{}
	j.list(n, path, "kinds of box, such as [sealed, vented]", 4, func(n *yaml.Node, path string) {
		var k design.Kind
		choice(&j.reader, &k, "sealed|vented|passive", design.Sealed, design.Vented, design.Passive)(n, path)
		switch {
		case k == "":
		case seen[k]:
			j.fault(n, path, "stands twice")
		default:
			seen[k] = true
			j.request.Kinds = append(j.request.Kinds, k)
		}
	})
}

func (j *jobReader) limits(n *yaml.Node, path string) {
	l := &j.request.Limits
	j.object(n, path, map[string]field{
		"port_speed": j.quantity(&l.PortSpeed, unit.Speed, positive(100, "100 m/s")),
		"qtc":        j.oneOrPair(&l.Qtc, unit.Number, between(0.2, 3, "from 0.2 to 3"), "[0.6, 0.95]"),
		"lowest":     j.quantity(&l.Lowest, unit.Frequency, between(5, 200, "from 5 Hz to 200 Hz")),
		"peak":       j.quantity(&l.Peak, unit.Level, positive(20, "20 dB")),
		"dip":        j.quantity(&l.Dip, unit.Level, positive(20, "20 dB")),
		"net_volume": j.oneOrPair(&l.Volume, unit.Volume, positive(2, "2000 l (is the unit right?)"), "[15 l, 25 l]"),
		"panels":     j.quantity(&l.Panels, unit.Frequency, between(5, 2000, "from 5 Hz to 2000 Hz")),
		"tuning":     j.oneOrPair(&l.Tuning, unit.Frequency, between(5, 200, "from 5 Hz to 200 Hz"), "[28 Hz, 36 Hz]"),
	})
}

// stretch is a range as people write it on paper: 28-36 Hz, 15 l to 25 l.
var stretch = regexp.MustCompile(`^\s*[\d.]+[^\d]*(?:-|–|\bto\b)\s*[\d.]`)

// oneOrPair reads one quantity, which is then both the least and the most, or a pair.
func (j *jobReader) oneOrPair(dst *[2]float64, d unit.Dimension, s span, example string) field {
	return func(n *yaml.Node, path string) {
		if n.Kind != yaml.ScalarNode {
			j.pair(dst, d, s, example)(n, path)
			return
		}
		if _, err := unit.Parse(n.Value, d, j.sys); err != nil && stretch.MatchString(n.Value) {
			j.fault(n, path, "write the least and the most as a list: %s", example)
			return
		}
		var v float64
		j.quantity(&v, d, s)(n, path)
		*dst = [2]float64{v, v}
	}
}

// pair reads the least and the most of a quantity.
func (j *jobReader) pair(dst *[2]float64, d unit.Dimension, s span, example string) field {
	return func(n *yaml.Node, path string) {
		var pair []float64
		count := j.list(n, path, "two values, the least and the most: "+example, 2, func(n *yaml.Node, path string) {
			var v float64
			j.quantity(&v, d, s)(n, path)
			if v > 0 {
				pair = append(pair, v)
			}
		})
		switch {
		case count == 1:
			j.fault(n, path, "want two values, the least and the most: %s", example)
		case count != 2 || len(pair) != 2:
		case pair[0] >= pair[1]:
			j.fault(n, path, "the least must come first and be smaller than the most: %s", example)
		default:
			*dst = [2]float64(pair)
		}
	}
}
