package job

import (
	"fmt"
	"regexp"
	"strings"

	"cubby/internal/thielesmall"
	"cubby/internal/unit"

	"gopkg.in/yaml.v3"
)

// otherKeys are what makers and fitters call what a file keeps under another key, in lower case with single spaces. A
// word counts only where its key is known.
var otherKeys = map[string]string{
	"amp": "amplifier", "car": "vehicle", "space": "cavity", "box size": "box", "boxes": "box", "enclosure": "box",
	"resonance": "fs", "free air resonance": "fs", "resonant frequency": "fs", "f0": "fs", "fo": "fs", "fres": "fs",
	"equivalent volume": "vas", "compliance volume": "vas", "area": "sd", "cone area": "sd", "piston area": "sd", "effective area": "sd",
	"effective cone area": "sd", "effective piston area": "sd", "effective diameter": "diameter", "piston diameter": "diameter",
	"dcr": "re", "rdc": "re", "revc": "re", "dc resistance": "re", "coil resistance": "re", "voice coil resistance": "re",
	"levc": "le", "inductance": "le", "voice coil inductance": "le", "bxl": "bl", "b l": "bl", "force factor": "bl", "motor strength": "bl",
	"moving mass": "mms", "mmd": "mms", "compliance": "cms", "mechanical resistance": "rms",
	"nominal impedance": "impedance", "rated impedance": "impedance", "z": "impedance", "znom": "impedance", "ohms": "impedance",
	"voice coils": "coils", "voice coil": "coils", "coil": "coils", "dvc": "coils",
	"rms power": "power", "power rms": "power", "continuous power": "power", "rated power": "power", "power handling": "power", "nominal power": "power",
	"pe": "power", "watts": "power",
	"max power": "power", "peak power": "power", "program power": "power",
	"xmax p p": "xmax_pp", "xmax pp": "xmax_pp", "xmax peak to peak": "xmax_pp", "peak to peak excursion": "xmax_pp", "stroke": "xmax_pp",
	"linear excursion": "xmax", "excursion": "xmax", "xlim": "xmech", "xdamage": "xmech", "mechanical limit": "xmech",
	"spl": "sensitivity", "efficiency": "sensitivity", "volume displacement": "vd", "displaced volume": "displacement",
	"driver displacement": "displacement", "mounting depth": "depth", "installation depth": "depth", "overall depth": "depth",
	"cutout diameter": "cutout", "cut out": "cutout", "mounting hole": "cutout", "mounting diameter": "cutout", "hole": "cutout",
	"overall diameter": "frame", "outside diameter": "frame", "outer diameter": "frame", "flange": "frame", "basket": "frame",
	"magnet diameter": "magnet", "motor diameter": "magnet", "weight": "mass", "net weight": "mass", "vented pole": "vent", "pole vent": "vent",
	"bolt circle": "bolts", "bolt circle diameter": "bolts", "screws": "bolts", "screw circle": "bolts", "mounting holes": "bolts",
	"rated into": "into", "load": "into", "minimum impedance": "minimum_load", "min load": "minimum_load", "minimum load": "minimum_load",
	"high pass": "highpass", "hpf": "highpass", "subsonic": "highpass", "low pass": "lowpass", "lpf": "lowpass", "crossover": "lowpass",
	"outputs": "ratings", "net": "net_volume", "volume": "net_volume", "size": "outside", "tuned to": "tuning", "fb": "tuning",
}

// meansOther are warnings that go with some of those words: they are not quite the same thing.
var meansOther = map[string]string{
	"mmd": "the mass with its load of air, a few per cent more than mmd", "max power": "the continuous figure, not the greatest",
	"peak power": "the continuous figure, not the peak", "program power": "the continuous figure, about half of it",
	"efficiency": "the level in dB at 1 m",
}

// keyWord brings a key to the form of otherKeys.
func keyWord(key string) string {
	key = strings.Map(func(c rune) rune {
		if strings.ContainsRune("_-.:/()", c) {
			return ' '
		}
		return c
	}, strings.ToLower(key))
	return strings.Join(strings.Fields(key), " ")
}

// rightKey is the key under which a file keeps what is written under another word; empty when nothing is known.
func rightKey(word string, fields map[string]field) (key, but string) {
	w := keyWord(word)
	key = otherKeys[w]
	if fields[key] == nil {
		return "", ""
	}
	return key, meansOther[w]
}

// renamed says how an entry is written under its right key.
func renamed(key, but string, value *yaml.Node) string {
	text := "here it is called " + key
	switch {
	case but != "": // the value is another one
		return text + ", " + but
	case value != nil && value.Kind == yaml.ScalarNode && value.Value != "":
		return text + ": write " + key + ": " + shown(value.Value)
	}
	return text
}

// twoCoils is a dual coil as makers print it: 2+2 ohm, 2 x 4 ohm, dual 4, D2, 4 ohm DVC, 4 ohm per coil.
var (
	sumOfCoils   = regexp.MustCompile(`^(\d+(?:\.\d+)?) *(?:ohms?|\x{03a9})? *[+&/] *(\d+(?:\.\d+)?) *(?:ohms?|\x{03a9})?$`)
	timesCoils   = regexp.MustCompile(`^2 *[x\x{00d7}*] *(\d+(?:\.\d+)?) *(?:ohms?|\x{03a9})?$`)
	dualCoils    = regexp.MustCompile(`^(?:dual|dvc|d|double)[ -]*(\d+(?:\.\d+)?)[ -]*(?:ohms?|\x{03a9})?(?: *(?:per|each) *(?:voice )?coil)?$`)
	ofEachOfDual = regexp.MustCompile(`^(\d+(?:\.\d+)?)[ -]*(?:ohms?|\x{03a9})?[ ,-]*(?:dvc|dual(?: voice)? coils?|per (?:voice )?coil|each coil|dual)$`)
)

// eachCoil reads the resistance or impedance of each of two coils, ohm, as makers print it; ok is false for another
// text.
func eachCoil(text string) (ohms float64, ok bool) {
	text = strings.ToLower(strings.TrimSpace(strings.ReplaceAll(text, "\u2126", "\u03a9")))
	text = strings.ReplaceAll(text, "\u03c9", "\u03a9")
	number := ""
	if m := sumOfCoils.FindStringSubmatch(text); m != nil && m[1] == m[2] {
		number = m[1]
	}
	for _, form := range []*regexp.Regexp{timesCoils, dualCoils, ofEachOfDual} {
		if m := form.FindStringSubmatch(text); m != nil {
			number = m[1]
		}
	}
	if number == "" {
		return 0, false
	}
	v, err := unit.Parse(number, unit.Resistance, unit.Metric)
	return v, err == nil && v > 0 && v <= anyOhms.high
}

// ohmsOrCoils reads a resistance of the whole driver, or that of each of two coils.
func (r *reader) ohmsOrCoils(whole field, each *float64, c *thielesmall.Coils) field {
	return func(n *yaml.Node, path string) {
		if n.Kind == yaml.ScalarNode {
			if v, ok := eachCoil(n.Value); ok {
				c.Count, *each = 2, v
				return
			}
		}
		whole(n, path)
	}
}

// mechanicalRms reads the mechanical resistance, which many take for the continuous power.
func (r *reader) mechanicalRms(read field) field {
	return func(n *yaml.Node, path string) {
		if n.Kind == yaml.ScalarNode && !isNull(n) {
			_, mechanical := unit.Parse(n.Value, unit.MechanicalResistance, r.sys)
			if v, err := unit.Parse(n.Value, unit.Power, r.sys); mechanical != nil && err == nil && v > 0 {
				r.fault(n, path, "rms is the mechanical resistance, in kg/s; the continuous power is called power: write power: %.4g W", v)
				return
			}
		}
		read(n, path)
	}
}

// peakToPeak reads a travel from end to end; xmax is half of it.
func (r *reader) peakToPeak(dst *float64) field {
	var both float64
	read := r.quantity(&both, unit.Length, positive(0.4, "400 mm (is the unit right?)"))
	return func(n *yaml.Node, path string) {
		if both = 0; r.travelHasUnit(n, path) {
			read(n, path)
		}
		if both > 0 {
			*dst = both / 2
		}
	}
}

// travel reads an excursion, which needs its unit in a file in inches: makers print millimetres beside sizes in inches.
func (r *reader) travel(read field) field {
	return func(n *yaml.Node, path string) {
		if r.travelHasUnit(n, path) {
			read(n, path)
		}
	}
}

func (r *reader) travelHasUnit(n *yaml.Node, path string) bool {
	if n.Kind != yaml.ScalarNode || !r.stated || r.sys != unit.Inch {
		return true
	}
	v, err := unit.Parse(n.Value, unit.Number, r.sys)
	if err != nil || v <= 0 {
		return true
	}
	r.fault(n, path, "needs its unit, mm or in: sheets in inches often print the travel in millimetres")
	return false
}

// drivenAt is a sensitivity as makers print it: 88 dB, 88.5 dB (2.83 V/1 m), 86 dB @ 1W/1m.
var drivenAt = regexp.MustCompile(`(?i)^(\d+(?:\.\d+)?) *(?:dB(?: *spl)?)?[ @(,/;]*(?:at )?(?:(\d+(?:\.\d+)?) *(V|W|volts?|watts?)(?:[ /@,]*1? *(?:m|meter|metre))?)?[ )]*$`)

// sensitivity reads a level at 1 m with the drive that it is for, when that is said.
func (r *reader) sensitivity(c *thielesmall.Claims) field {
	loud := between(50, 120, "from 50 dB to 120 dB at 1 m")
	return func(n *yaml.Node, path string) {
		const want = "a level at 1 m with its drive, such as 88 dB (2.83 V) or 86 dB (1 W)"
		if n.Kind == yaml.ScalarNode && strings.Contains(n.Value, "%") {
			r.fault(n, path, "want %s, not a percentage", want)
			return
		}
		if !r.scalar(n, path, want) {
			return
		}
		m := drivenAt.FindStringSubmatch(strings.TrimSpace(n.Value))
		if m == nil {
			r.fault(n, path, "want %s", want)
			return
		}
		level, err := unit.Parse(m[1], unit.Number, r.sys)
		if err != nil || !r.within(n, path, level, loud) {
			return
		}
		drive, _ := unit.Parse("0"+m[2], unit.Number, r.sys)
		if m[2] != "" && (drive <= 0 || drive > 1000) {
			r.fault(n, path, "want %s", want)
			return
		}
		*c = thielesmall.Claims{Level: level, Displaced: c.Displaced}
		switch strings.ToUpper(m[3] + " ")[0] {
		case 'V':
			c.Volts = drive
		case 'W':
			c.Watts = drive
		}
	}
}

// sensitivityText writes a sensitivity as sensitivity reads it.
func sensitivityText(c thielesmall.Claims) string {
	text := amount(c.Level, unit.Level, "dB")
	switch {
	case c.Volts > 0:
		return text + fmt.Sprintf(" (%s)", amount(c.Volts, unit.Voltage, "V"))
	case c.Watts > 0:
		return text + fmt.Sprintf(" (%s)", amount(c.Watts, unit.Power, "W"))
	}
	return text
}

// sameSaid faults what a driver file says twice and differently: coils in impedance and coils, xmax in two ways.
func sameSaid(m mapping) {
	for _, key := range []string{"impedance", "re"} {
		whole, each := m.values[key], valueOf(m.values["coils"], key)
		if whole == nil || each == nil || whole.Kind != yaml.ScalarNode || each.Kind != yaml.ScalarNode {
			continue
		}
		v, dual := eachCoil(whole.Value)
		w, err := unit.Parse(each.Value, unit.Resistance, m.sys)
		m.refuse(key, dual && err == nil && w != v, "differs from coils.%s, %s", key, shown(each.Value))
	}
	if one := m.values["xmax"]; one != nil {
		m.remark("xmax_pp", true, "xmax is given on line %d as well: give one of them", one.Line)
	}
}
