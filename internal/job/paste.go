package job

import (
	"fmt"
	"maps"
	"regexp"
	"slices"
	"strings"
	"unicode"

	"cubby/internal/unit"

	"gopkg.in/yaml.v3"
)

// A Pasted driver is what was understood of a text copied from a maker's sheet.
type Pasted struct {
	Driver  DriverFile
	Remarks Remarks // beside each value the words that it was read from
	Left    []Leftover
}

// A Leftover is a piece of a pasted text that became no value.
type Leftover struct {
	Line int
	Text string
	Why  string // one clause; empty when nothing is known of it
}

// mostPasted is how many pieces of a pasted text are looked at; a sheet has some fifty.
const mostPasted = 2000

// longestPiece is the length, in bytes, of the longest piece in which a label and a value are looked for.
const longestPiece = 160

// ParsePasted reads a text as it was copied from a maker's sheet: lines or table rows of a label, a number and a unit,
// the label in words or as a symbol, the unit beside the number or in brackets after the label, over one line or
// several. A value counts only when its label, its unit and its size are certain; everything else is left over, with a
// reason where there is one. The error, as Faults, is for a text that cannot be read or of which nothing is understood.
func ParsePasted(file string, data []byte) (*Pasted, error) {
	text, faults := instrumentText(file, data)
	if len(faults) > 0 {
		return nil, faults
	}
	p := &paster{file: file, out: &Pasted{Remarks: Remarks{}}, said: map[string]string{}, lines: map[string]int{}}
	p.reader = &reader{file: file, stated: true, sys: unit.Metric}
	p.fields = p.reader.driverFields(&p.out.Driver)
	pieces := cells(text)
	if len(pieces) > mostPasted {
		return nil, Faults{{File: file, Line: pieces[mostPasted].line, Want: fmt.Sprintf("more than %d pieces of text: paste the part of the sheet about one driver", mostPasted)}}
	}
	for len(pieces) > 0 {
		pieces = pieces[p.take(pieces):]
	}
	if len(p.said) == 0 {
		return nil, Faults{{File: file, Line: 1, Want: "nothing in this text is understood as a value of a driver, such as Fs 28.5 Hz"}}
	}
	p.bolts()
	p.title()
	p.fill()
	return p.out, nil
}

// heading is what stands above a sheet's figures and names no driver.
var heading = regexp.MustCompile(`(?i)param|spec|data|technical|thiele|small|www|http|@|page|[:=]`)

// title takes the driver's name from the first line that may be one, where nothing is called its name: a short one, not
// of several pieces, before every figure.
func (p *paster) title() {
	begin, pieces := slices.Min(slices.Collect(maps.Values(p.lines))), map[int]int{}
	for _, l := range p.out.Left {
		pieces[l.Line]++
	}
	i := slices.IndexFunc(p.out.Left, func(l Leftover) bool {
		return l.Line < begin && pieces[l.Line] == 1 && len(l.Text) <= 40 && l.Why == "" && strings.ContainsFunc(l.Text, unicode.IsLetter) && !heading.MatchString(l.Text)
	})
	if i < 0 || p.said["name"] != "" || !p.accepts("name", p.out.Left[i].Text) {
		return
	}
	p.keep(p.out.Left[i].Line, "name", p.out.Left[i].Text, p.out.Left[i].Text)
	p.out.Left = slices.Delete(p.out.Left, i, i+1)
}

// A cell is a piece of a pasted text: what stands between tabs, bars or wide gaps.
type cell struct {
	line int
	text string
}

var gaps = regexp.MustCompile(`\t+|\s*\|\s*|\s{2,}|\s*•\s*`)

// bullet begins an entry of a list.
var bullet = regexp.MustCompile(`^[*\-–·▪#]+\s+`)

func cells(text string) (all []cell) {
	for i, line := range strings.Split(text, "\n") {
		line = strings.NewReplacer("\u00a0", " ", "\u2009", " ", "\u202f", " ").Replace(line)
		for _, part := range gaps.Split(strings.TrimSpace(line), -1) {
			for _, one := range several(part) {
				one = bullet.ReplaceAllString(strings.Trim(one, " \t,;"), "")
				if strings.Trim(one, "-–—_=.*#") != "" {
					all = append(all, cell{i + 1, one})
				}
			}
		}
	}
	return all
}

// partings are what may stand between several values of one piece.
var partings = regexp.MustCompile(`\s*[/;]\s+|,\s+`)

// several takes a piece apart where each of its parts has a label of its own: Qts 0.44 / Qms 6.2 / Qes 0.47.
func several(text string) []string {
	parts := partings.Split(text, -1)
	for _, part := range parts {
		label, value, ok := apart(part)
		if key, _ := labelKey(label); !ok || value == "" || key == "" {
			return []string{text}
		}
	}
	return parts
}

// A paster reads the pieces of one text.
type paster struct {
	file   string
	reader *reader
	fields map[string]field
	out    *Pasted
	said   map[string]string // values by key, as they stand in a driver file
	lines  map[string]int
}

// take reads what begins with the first piece, and gives the number of pieces that it took.
func (p *paster) take(at []cell) int {
	first := at[0]
	if len(first.text) > longestPiece {
		p.leave(first, "")
		return 1
	}
	if label, value, ok := apart(first.text); ok && value != "" {
		if p.entry(first.line, label, value, first.text) {
			return 1
		}
		if len(at) > 1 && unitAlone(at[1].text) && p.entry(first.line, label, value+" "+at[1].text, first.text+" "+at[1].text) {
			return 2
		}
		p.leave(first, label)
		return 1
	}
	label := strings.TrimRight(first.text, ":= ")
	if len(at) > 1 {
		second := at[1]
		l, _, isPair := apart(second.text)
		key, why := labelKey(label)
		begins := startsValue(second.text)
		if next, _ := labelKey(second.text); !begins && next != "" && second.line == first.line && (key == "" || key == next) {
			return 1 // a caption before the symbol
		}
		if key == "name" && second.line == first.line {
			begins = true
		}
		if key == "" && begins && (second.line == first.line || why != "") {
			p.leave(cell{first.line, first.text + " " + second.text}, label)
			return 2
		}
		if key != "" && (begins || !isPair || l == "") {
			if len(at) > 2 && unitAlone(at[2].text) && p.entry(first.line, label, second.text+" "+at[2].text, first.text+" "+second.text+" "+at[2].text) {
				return 3
			}
			if p.entry(first.line, label, second.text, first.text+" "+second.text) {
				return 2
			}
			if begins {
				p.leave(cell{first.line, first.text + " " + second.text}, label)
				return 2
			}
		}
	}
	p.leave(first, label)
	return 1
}

// leave keeps a piece that became no value.
func (p *paster) leave(c cell, label string) {
	_, why := labelKey(label)
	p.out.Left = append(p.out.Left, Leftover{c.line, oneLine(c.text), why})
}

// valueStart is where a value begins after a label without a colon.
var valueStart = regexp.MustCompile(`(?i)\s(?:(?:\+/-|\+-|±)?\s*[+-]?\d|\.\d|dual\s*\d|dvc\b|½|¼|¾)`)

// apart parts a piece into label and value; ok is false where there is no value in it.
func apart(text string) (label, value string, ok bool) {
	depth := 0
	for i, c := range text {
		switch {
		case c == '(' || c == '[':
			depth++
		case c == ')' || c == ']':
			depth--
		case (c == ':' || c == '=') && depth <= 0:
			return strings.TrimSpace(text[:i]), strings.TrimLeft(strings.TrimSpace(text[i+1:]), ":=≈~ "), true
		}
	}
	if startsValue(text) {
		return "", text, true
	}
	for from := 0; ; {
		at := valueStart.FindStringIndex(text[from:])
		if at == nil {
			return "", "", false
		}
		i := from + at[0]
		if before := text[:i]; strings.Count(before, "(")+strings.Count(before, "[") <= strings.Count(before, ")")+strings.Count(before, "]") {
			return strings.TrimSpace(before), strings.TrimSpace(text[i:]), true
		}
		from = i + 1
	}
}

// startsValue reports whether a piece begins as a value does.
func startsValue(text string) bool {
	at := valueStart.FindStringIndex(" " + text)
	return at != nil && at[0] == 0
}

// unitAlone reports whether a piece is a unit and no more.
func unitAlone(text string) bool {
	text = strings.Trim(text, "()[]")
	if text == "" || strings.ContainsAny(text, "0123456789") && !strings.HasSuffix(text, "2") && !strings.HasSuffix(text, "3") {
		return false
	}
	_, ok := unit.Of(text)
	return ok
}

var brackets = regexp.MustCompile(`[(\[]([^)\]]*)[)\]]`)

// labelKey is the key that a label means, empty when that is not certain; why says what the label means instead.
func labelKey(label string) (key, why string) {
	plain := brackets.ReplaceAllString(label, " ")
	tries := []string{label, plain}
	for _, m := range brackets.FindAllStringSubmatch(label, -1) {
		tries = append(tries, m[1])
	}
	if words := strings.Fields(plain); len(words) > 1 { // Resonance frequency Fs, Fs resonance frequency
		tries = append(tries, words[len(words)-1], words[0])
	}
	found := map[string]bool{}
	for i, t := range tries {
		w := keyWord(t)
		if reason, known := notTaken[w]; known && i < 2 {
			return "", reason
		}
		k := wordKey(w)
		if i >= 2 && len(w) > 5 { // a symbol, not a word out of its context
			k = ""
		}
		if k != "" {
			found[k] = true
			if i < 2 {
				break
			}
		}
	}
	if len(found) != 1 {
		return "", ""
	}
	for k := range found {
		key = k
	}
	if lower := strings.ToLower(label); key == "xmax" && peakToPeak(lower) {
		key = "xmax_pp"
	}
	return key, ""
}

// symbols are the keys that are symbols of the trade.
var symbols = []string{"fs", "qts", "qes", "qms", "vas", "sd", "re", "le", "bl", "mms", "cms", "rms", "xmax", "xmech", "vd"}

// wordKey is the key that a word means by itself.
func wordKey(w string) string {
	if k, known := pasteLabels[w]; known {
		return k
	}
	if k := strings.ReplaceAll(w, " ", ""); slices.Contains(symbols, k) {
		return k
	}
	switch w {
	case "impedance", "coils", "power", "frame", "cutout", "depth", "magnet", "displacement", "mass", "sensitivity":
		return w
	}
	switch k := otherKeys[w]; k {
	case "fs", "vas", "sd", "re", "le", "bl", "cms", "rms", "impedance", "coils", "power", "xmax", "xmax_pp", "xmech", "sensitivity", "vd", "displacement", "depth", "cutout",
		"frame", "magnet", "mass", "mms":
		if meansOther[w] == "" {
			return k
		}
	}
	return ""
}

func peakToPeak(text string) bool {
	return strings.Contains(text, "p-p") || strings.Contains(text, "peak to peak") || strings.Contains(text, "peak-to-peak") || strings.Contains(text, "pk-pk")
}

// entry reads a value under a label. It reports whether the label is known and the value certain.
func (p *paster) entry(line int, label, value, text string) bool {
	key, _ := labelKey(label)
	if key == "" {
		return false
	}
	lower := strings.ToLower(value + " " + label)
	if key == "xmax" && peakToPeak(lower) {
		key = "xmax_pp"
	}
	for _, v := range p.readings(key, label, value) {
		k := key
		if k == "rms" { // many write the continuous power so
			if w, err := unit.Parse(v, unit.Power, unit.Metric); err == nil && w > 0 && strings.ContainsAny(v, "Ww") {
				k = "power"
			}
		}
		if p.accepts(k, v) {
			if k != "power" && k != "sensitivity" && k != "name" && contradicts(v, value) {
				return false
			}
			p.keep(line, k, v, text)
			return true
		}
	}
	return false
}

// accepts reports whether a driver file takes a value under a key.
func (p *paster) accepts(key, value string) bool {
	n := textNode(value, 1, 0)
	r := &reader{file: p.file, stated: true, sys: unit.Metric}
	var d DriverFile
	fields := r.driverFields(&d)
	switch key {
	case "bolts.circle", "bolts.hole":
		_, ok := r.measure(n, key, unit.Length)
		return ok && strings.ContainsFunc(value, isUnit)
	case "bolts.count":
		var count int
		r.whole(&count, 2, 32)(n, key)
		return len(r.faults) == 0
	case "xmax", "xmax_pp", "xmech", "frame", "cutout", "depth", "magnet":
		if !strings.ContainsFunc(value, isUnit) {
			return false // millimetres and inches are both common
		}
	}
	if fields[key] == nil {
		return false
	}
	fields[key](n, key)
	return len(r.faults) == 0
}

// keep keeps a value unless the text has said another one before.
func (p *paster) keep(line int, key, value, text string) {
	if first, twice := p.said[key]; twice {
		if !agree(first, value) {
			p.out.Left = append(p.out.Left, Leftover{line, oneLine(text), fmt.Sprintf("differs from line %d, which is used", p.lines[key])})
		}
		return
	}
	p.said[key], p.lines[key] = value, line
	p.out.Remarks[key] = fmt.Sprintf("line %d: %s", line, shown(text))
}

// bolts takes back parts of a bolt circle that is not whole.
func (p *paster) bolts() {
	if p.said["bolts.circle"] != "" && p.said["bolts.count"] != "" {
		return
	}
	for _, key := range []string{"bolts.circle", "bolts.count", "bolts.hole"} {
		p.takeBack(key, "the bolt circle and the number of bolts are wanted together")
	}
}

// takeBack leaves out a value that was kept, if it was.
func (p *paster) takeBack(key, why string) {
	if p.said[key] == "" {
		return
	}
	p.out.Left = append(p.out.Left, Leftover{p.lines[key], p.out.Remarks[key], why})
	delete(p.said, key)
	delete(p.out.Remarks, key)
}

// fill reads the values into the driver.
func (p *paster) fill() {
	root := &yaml.Node{Kind: yaml.MappingNode, Line: 1}
	if p.said["xmax"] != "" && p.said["xmax_pp"] != "" {
		p.takeBack("xmax_pp", "xmax is given one way as well")
	}
	for _, key := range slices.Sorted(maps.Keys(p.said)) {
		put(root, key, textNode(p.said[key], p.lines[key], 0))
	}
	p.reader.driverBy(p.fields, root, "", &p.out.Driver)
	for _, f := range p.reader.faults { // values that cannot stand together
		p.out.Left = append(p.out.Left, Leftover{f.Line, f.Field + ": " + f.Value, f.Want})
	}
	r := p.out.Remarks
	if r["xmax_pp"] != "" {
		r["xmax"] = "half of " + r["xmax_pp"]
	}
	if c := p.out.Driver.Spec.Coils; c.Count > 1 && r["coils"] == "" {
		r["coils"] = strings.TrimSpace(r["impedance"] + " " + r["re"])
	}
	r["bolts"] = r["bolts.circle"]
	slices.SortStableFunc(p.out.Left, func(a, b Leftover) int { return a.Line - b.Line })
}

// FormatPasted writes a driver file of what was understood, with what was not as comments at its end.
func FormatPasted(p *Pasted, head string) []byte {
	data := FormatDriver(&p.Driver, head, p.Remarks)
	if _, err := ParseDriver("", data); err != nil {
		var faults Faults
		if f, ok := err.(Faults); ok {
			faults = f
		}
		for _, f := range faults {
			data = append(data, "# "+oneLine(f.Field+": "+f.Want)+"\n"...)
		}
	}
	if _, _, err := p.Driver.Spec.Complete(); err != nil {
		for _, e := range leaves(err) {
			data = append(data, "# Still missing or wrong: "+oneLine(e.Error())+"\n"...)
		}
	}
	if len(p.Left) > 0 {
		data = append(data, "# Not understood:\n"...)
	}
	for _, l := range p.Left {
		data = append(data, "# "+oneLine(l.String())+"\n"...)
	}
	return data
}

// String is the piece with its line and the reason.
func (l Leftover) String() string {
	text := fmt.Sprintf("line %d: %s", l.Line, shown(l.Text))
	if l.Why != "" {
		text += " (" + l.Why + ")"
	}
	return text
}
