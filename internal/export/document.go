package export

import (
	"bytes"
	"encoding/json"
	"io"
	"math"

	"cubby/internal/design"
	"cubby/internal/plane"
	"cubby/internal/thielesmall"

	"gonum.org/v1/gonum/spatial/r3"
)

// A number is a float that is null in JSON when it is not finite.
type number float64

// MarshalJSON writes the shortest form that reads back to the same value.
func (n number) MarshalJSON() ([]byte, error) {
	if math.IsNaN(float64(n)) || math.IsInf(float64(n), 0) {
		return []byte("null"), nil
	}
	return json.Marshal(float64(n) + 0) // no negative zero
}

// object is a JSON object that keeps the order of its keys. A nil value is left out.
type object []struct {
	key   string
	value any
}

// MarshalJSON writes the object and those within it; lists are never null.
func (o object) MarshalJSON() ([]byte, error) {
	var b bytes.Buffer
	err := write(&b, o)
	return b.Bytes(), err
}

func write(b *bytes.Buffer, v any) error {
	switch v := v.(type) {
	case object:
		b.WriteByte('{')
		first := true
		for _, k := range v {
			if o, ok := k.value.(object); k.value == nil || ok && o == nil {
				continue
			}
			if !first {
				b.WriteByte(',')
			}
			first = false
			b.WriteString(`"` + k.key + `":`)
			if err := write(b, k.value); err != nil {
				return err
			}
		}
		b.WriteByte('}')
		return nil
	case []object:
		b.WriteByte('[')
		for i, o := range v {
			if i > 0 {
				b.WriteByte(',')
			}
			if err := write(b, o); err != nil {
				return err
			}
		}
		b.WriteByte(']')
		return nil
	case []string:
		if v == nil {
			v = []string{}
		}
		return encoder(b).Encode(v)
	case float64:
		return encoder(b).Encode(number(v))
	}
	return encoder(b).Encode(v)
}

func encoder(w io.Writer) *json.Encoder {
	e := json.NewEncoder(w)
	e.SetEscapeHTML(false)
	return e
}

// encode writes one indented object.
func encode(w io.Writer, v object) error {
	e := encoder(w)
	e.SetIndent("", "  ")
	return e.Encode(v)
}

// list makes an object of each.
func list[T any](all []T, each func(T) object) []object {
	out := make([]object, len(all))
	for i, v := range all {
		out[i] = each(v)
	}
	return out
}

// given is a value that is left out when it is zero.
func given[T comparable](v T) any {
	var zero T
	if v == zero {
		return nil
	}
	return v
}

// only is a value that is left out unless it applies.
func only(applies bool, v any) any {
	if !applies {
		return nil
	}
	return v
}

// Head is what the document says of itself.
type Head struct {
	Version string  // of the program
	Command string  // "design"
	Job     string  // file as the user wrote it
	Router  *Router // layout for a router; nil: none was asked for
}

// opening is what every document about a space begins with.
func opening(h Head, title string, a thielesmall.Air) object {
	return object{{"version", h.Version}, {"command", h.Command}, {"job", h.Job}, {"title", title}, {"air", air(a)}}
}

// preamble is what every document about a driver in a box begins with.
func preamble(h Head, b *design.Basis) object {
	return append(opening(h, b.Request.Title, b.Air), object{{"driver", driver(b.Driver, b.Air)}, {"driver_single", driver(b.DriverSingle, b.Air)},
		{"findings", list(b.Findings, finding)}, {"drive_v", b.DriveVolts}}...)
}

// JSON writes the result as one object followed by a newline.
func JSON(w io.Writer, r *design.Result, h Head) error {
	d := preamble(h, &r.Basis)
	designs := make([]object, len(r.Designs))
	for i := range designs {
		designs[i] = designed(r, &r.Designs[i])
	}
	d = append(d, object{
		{"aim", r.Request.Aim},
		{"outcomes", list(r.Outcomes, func(o design.Outcome) object {
			return object{{"kind", o.Kind}, {"status", o.Status}, {"reason", o.Reason}}
		})},
		{"ladder", given(r.Ladder)},
		{"shapes", list(r.Shapes, func(s design.ShapeOffer) object {
			return object{{"kind", s.Kind}, {"bevels", s.Bevels}, {"boards", s.Boards}, {"minutes", s.Minutes}, {"net_volume_m3", s.Net}, {"gain", s.GainText}}
		})},
		{"assumptions", r.Assumptions}, {"warnings", r.Warnings}, {"search_notes", r.SearchNotes},
		{"designs", designs}, {"size_tradeoff", tradeoffs(r)}, {"spread", spread(r.Spread)}, {"space", space(r.Request.Space)},
		{"nested", nested(h.Router)},
	}...)
	if len(r.Designs) == 0 {
		d = append(d, object{{"verdict", string(design.DoesNotSuit)}, {"panels", []object{}}, {"sheets", []object{}}, {"sheets_lower_bound", 0},
			{"sheets_proved", false}, {"checks", []object{}}, {"stick_tests", []object{}}}...)
		return encode(w, d)
	}
	for _, k := range designs[0] { // the document speaks of its first design
		switch k.key {
		case "verdict", "panels", "sheets", "sheets_lower_bound", "sheets_proved", "checks", "stick_tests":
			d = append(d, k)
		}
	}
	return encode(w, append(d, object{{"work", plan(&r.Designs[0])}}...))
}

func air(a thielesmall.Air) object {
	return object{{"density_kg_m3", a.Density}, {"sound_speed_m_s", a.SoundSpeed}, {"temperature_c", a.Temperature},
		{"pressure_pa", a.Pressure}, {"humidity", a.Humidity}}
}

func finding(f thielesmall.Finding) object {
	return object{{"quantity", f.Quantity}, {"severity", f.Severity.String()}, {"percent", f.Percent}, {"text", f.Text}}
}

func check(c design.Check) object {
	return object{{"name", c.Name}, {"status", c.Status.String()}, {"value", c.Value}, {"limit", c.Limit}, {"unit", c.Unit},
		{"note", c.Note}, {"setting", given(c.Setting)}}
}

func driver(d thielesmall.Driver, a thielesmall.Air) object {
	return object{
		{"name", d.Name}, {"count", d.Count}, {"re_ohm", d.Re}, {"le_h", d.Le}, {"l2_h", d.L2}, {"r2_ohm", d.R2}, {"bl_t_m", d.Bl}, {"sd_m2", d.Sd},
		{"mms_kg", d.Mms}, {"cms_m_n", d.Cms}, {"rms_kg_s", d.Rms}, {"fs_hz", d.Fs()}, {"qms", d.Qms()}, {"qes", d.Qes()}, {"qts", d.Qts()},
		{"vas_m3", d.Vas(a)}, {"xmax_m", d.Xmax}, {"xmech_m", d.Xmech}, {"power_w", d.Power}, {"impedance_ohm", d.Impedance}, {"efficiency", d.Efficiency(a)},
	}
}

// none is null in JSON.
var none = number(math.NaN())

// mm writes a length in millimetres, free of the last bits of metres.
func mm(m float64) number { return number(math.Round(m*1e12) / 1e9) }

// mmGiven is a length that is left out when it is zero.
func mmGiven(m float64) any { return given(mm(m)) }

func mm2(v [2]float64) [2]number { return [2]number{mm(v[0]), mm(v[1])} }

func mm3(v [3]float64) [3]number { return [3]number{mm(v[0]), mm(v[1]), mm(v[2])} }

func deg(rad float64) number { return number(rad * 180 / math.Pi) }

func outlineMM(g plane.Polygon) [][2]number {
	out := make([][2]number, len(g))
	for i, p := range g {
		out[i] = mm2([2]float64{p.X, p.Y})
	}
	return out
}

func pointsMM(at []r3.Vec) [][3]number {
	out := make([][3]number, len(at))
	for i, p := range at {
		out[i] = mm3([3]float64{p.X, p.Y, p.Z})
	}
	return out
}
