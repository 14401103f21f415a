package panels

import (
	"errors"
	"fmt"
	"math"
	"slices"

	"cubby/internal/plane"
	"cubby/internal/unit"
)

// longestSide is the size beyond which a box is taken for a slip of the unit.
const longestSide = 20.0

// Build makes the box, or says why it cannot be made: a *BuildError with a sentence in the user's terms, or several joined
// (errors.As finds the first). A box whose driver or port is too close to something is built all the same; its Checks say so.
func Build(s Spec) (*Box, error) {
	m, err := plan(s)
	if err != nil {
		return nil, err
	}
	if !s.Mute {
		m.makePanels()
		if err := m.countPieces(); err != nil {
			return nil, err
		}
	}
	m.check()
	m.box.Warnings = append(m.box.Warnings, m.wrap.warnings...)
	return m.box, nil
}

// Plan gives the box that Build would make without its panels and checks: its volumes, deductions and seats. It fails where
// Build fails, short of the count of pieces. A search calls it thousands of times.
func Plan(s Spec) (*Box, error) {
	m, err := plan(s)
	if err != nil {
		return nil, err
	}
	return m.box, nil
}

// maker is a box in the making.
type maker struct {
	Spec
	wrap      *wrap
	box       *Box
	endT      [2]float64 // thickness of the left and the right end
	step      float64    // depth of the ends' rabbet
	inLeft    float64    // across of the left end's inner face
	inRight   float64
	wallLeft  float64 // across of the walls' left end
	wallRight float64
	seat      *face   // the driver's
	bodies    []solid // what stands in the air
	ports     []tube
	slot      *slot
	braces    []brace
	strips    []strip
	spans     map[string][2]float64 // of the panels that strips divide: the widest that are left
	layers    []layer
	loose     int // the removable wall, -1: none; looseEnd likewise for the ends
	looseEnd  int
	cleats    []cleat
	terminal  *terminal
	rho       float64 // of the board, kg/m3, and its modulus, Pa; set by plate
	modulus   float64
	whyFixed  func() string // the reason for the driver's fixing
	points    []opening     // fixing points to the vehicle
	pointUse  []string
	skip      int // places of the tubes that are passed over
}

// plan settles everything that has a bearing on the air: walls, driver, ports, braces and deductions.
func plan(s Spec) (*maker, error) {
	s.Section = s.Section.CCW().Clean(cleanNear, cleanTurn)
	if err := validate(s); err != nil {
		return nil, err
	}
	s.Count = max(s.Count, 1)
	if s.Port != nil && s.Port.Bore <= 0 {
		return planWithSlot(s)
	}
	m, err := planWith(s, nil, 0)
	var why *BuildError
	if errors.As(err, &why) {
		why.leaveAir(s.Units, 0, func(length float64) bool {
			_, err := planWith(s.withPort(length), nil, 0)
			return err == nil
		})
	}
	if err == nil {
		m = m.makeWay(s)
	}
	return m, err
}

// planWith plans the box with its slot, if it has one, in the berth that the slot names, or with its tubes where they go best
// once skip places have been passed over.
func planWith(s Spec, slot *slot, skip int) (*maker, error) {
	m := &maker{Spec: s, slot: slot, skip: skip, loose: -1, looseEnd: -1, box: &Box{Spec: s, Left: s.Left, Width: s.Width}}
	for _, step := range []func() error{m.planWrap, m.planEnds, m.planCleats, m.planLayers, m.planFixings, m.planDriver, m.planPorts, m.planBraces, m.planTerminal, m.deduct} {
		if err := step(); err != nil {
			return nil, err
		}
	}
	return m, nil
}

func validate(s Spec) error {
	var faults []error
	bad := func(what string, v float64) {
		faults = append(faults, &BuildError{Reason: BadInput, Value: v, Text: fmt.Sprintf("%s: %s: must be greater than 0 and a size that a workshop can make", what, unit.FormatLength(v, s.Units))})
	}
	if !(s.Width > 0) || s.Width > longestSide {
		bad("width of the box", s.Width)
	}
	if !(s.Wood.Thickness > 0) || s.Wood.Thickness > longestSide {
		bad("thickness of the board", s.Wood.Thickness)
	}
	for _, name := range sortedNames(s.Wood.Panels) {
		if t := s.Wood.Panels[name]; !(t > 0) || t > longestSide {
			bad("thickness of the panel "+name, t)
		}
	}
	if math.IsNaN(s.Left) || math.IsInf(s.Left, 0) {
		bad("place of the box", s.Left)
	}
	d := s.Driver
	for _, f := range []struct {
		what string
		v    float64
	}{{"frame of the driver", d.Frame}, {"cut-out of the driver", d.Cutout}, {"depth of the driver", d.Depth}, {"magnet of the driver", d.Magnet}, {"bolt circle", d.Circle}, {"bolt hole", d.Hole}} {
		if f.v < 0 || math.IsNaN(f.v) || f.v > longestSide {
			bad(f.what, f.v)
		}
	}
	if err := s.Section.Validate(); err != nil {
		faults = append(faults, &BuildError{Reason: BadInput, Text: "section of the box: " + err.Error()})
	}
	if p := s.Port; p != nil {
		if !(p.Length > 0) || p.Length > longestSide {
			bad("length of the port", p.Length)
		}
		if !(p.Bore > 0) && !(p.Height > 0) || p.Bore > longestSide {
			bad("bore of the port", p.Bore)
		}
		if p.Height < 0 || math.IsNaN(p.Height) || p.Height > longestSide {
			bad("height of the slot", p.Height)
		}
	}
	return errors.Join(faults...)
}

func sortedNames(m map[string]float64) []string {
	names := make([]string, 0, len(m))
	for n := range m {
		names = append(names, n)
	}
	slices.Sort(names)
	return names
}

// planWrap names the walls, settles their boards and joints, and cuts them.
func (m *maker) planWrap() error {
	names := Names(m.Section)
	wall, _, err := m.resolve(m.Face, m.Section, names)
	if err != nil {
		return err
	}
	t := make([]float64, len(names))
	for i, n := range names {
		t[i] = m.thickness(n, i == wall)
	}
	m.wrap = newWrap(m.Section, names, t, m.Units, m.Mute)
	wishes := m.Corners
	if m.slot != nil && m.slot.mouth >= 0 {
		wishes = append(append([]CornerWish(nil), wishes...), m.slot.wish(names))
	}
	if wishes, err = m.looseWishes(wishes, wall); err != nil {
		return err
	}
	if err := m.wrap.settle(m.Wood, wishes); err != nil {
		return err
	}
	if err := m.wrap.cutAll(); err != nil {
		return err
	}
	m.box.Section, m.box.Inside = m.Section, m.wrap.inside
	return nil
}

// thickness is the measured thickness of a panel, all its full-size layers together.
func (m *maker) thickness(name string, seat bool) float64 {
	if t, ok := m.Wood.Panels[name]; ok {
		return t
	}
	return m.Wood.Thickness * float64(m.fullLayers(seat))
}

// fullLayers is the number of full-size boards of the driver's face (seat) or of another panel.
func (m *maker) fullLayers(seat bool) int {
	if seat && !m.Wood.LayerInside {
		return max(m.Wood.FrontLayers, 1)
	}
	return 1
}

// Names of the end panels.
const (
	leftEnd  = "left end"
	rightEnd = "right end"
)

// resolve finds the panel that a face's name means: a wall by its name, an end, or the longest wall that faces that side.
// wall is -1 for an end, end is -1 for a wall.
func (m *maker) resolve(name string, section plane.Polygon, names []string) (wall, end int, err error) {
	switch name {
	case "left", leftEnd:
		return -1, 0, nil
	case "right", rightEnd:
		return -1, 1, nil
	case "":
		name = "front"
	}
	wall = -1
	longest := 0.0
	for i, n := range names {
		if n == name {
			return i, -1, nil
		}
		a, b := ends(section, i)
		if l := b.Sub(a).Norm(); SideOf(section, i) == name && l > longest {
			wall, longest = i, l
		}
	}
	if wall < 0 {
		return -1, -1, &BuildError{Reason: NoFace, Panel: name,
			Text: fmt.Sprintf("the box has no face %q: its walls are %s, left end and right end", name, list(names))}
	}
	return wall, -1, nil
}

// planEnds settles the ends and with them the inside width and the lengths of the walls.
func (m *maker) planEnds() error {
	_, end, _ := m.resolve(m.Face, m.Section, m.wrap.names)
	for i, name := range []string{leftEnd, rightEnd} {
		m.endT[i] = m.thickness(name, i == end)
	}
	m.inLeft, m.inRight = m.Left+m.endT[0], m.Left+m.Width-m.endT[1]
	inside := m.inRight - m.inLeft
	if inside <= 0 {
		return &BuildError{Reason: NoInside, Value: m.Width, Limit: m.endT[0] + m.endT[1],
			Text: fmt.Sprintf("the box is %s wide: between its ends (%s and %s thick) no room is left",
				m.wrap.length(m.Width), m.wrap.length(m.endT[0]), m.wrap.length(m.endT[1]))}
	}
	m.wallLeft, m.wallRight = m.inLeft, m.inRight
	switch m.Wood.Ends {
	case EndsInside:
		m.wallLeft, m.wallRight = m.Left, m.Left+m.Width
	case EndsRabbeted:
		depth, ok := rabbetDepth(m.Wood, math.Min(m.endT[0], m.endT[1]))
		if !ok {
			return &BuildError{Reason: NoRabbet, Panel: leftEnd, Value: math.Min(m.endT[0], m.endT[1]), Limit: minRabbet + minLip,
				Text: fmt.Sprintf("ends %s thick are too thin for a rabbet: it is at least %s deep and leaves a lip of at least %s",
					m.wrap.length(math.Min(m.endT[0], m.endT[1])), m.wrap.length(minRabbet), m.wrap.length(minLip))}
		}
		m.step = depth
		m.wallLeft, m.wallRight = m.inLeft-depth, m.inRight+depth
	}
	b := m.box
	b.InsideWidth = inside
	b.OuterVolume, b.InsideVolume = m.Section.Area()*m.Width, b.Inside.Area()*inside
	for i, w := range m.wrap.walls {
		left, right := m.wallSpan(i)
		b.WallVolume += w.area * (right - left)
	}
	for i := range m.endT {
		b.WallVolume += m.endVolume(i)
	}
	return nil
}

// endVolume is the wood of one end before openings.
func (m *maker) endVolume(i int) float64 {
	outer, inner := m.endOutline().Area(), m.box.Inside.Area()
	switch m.Wood.Ends {
	case EndsInside:
		return inner * m.endT[i]
	case EndsRabbeted:
		return outer*(m.endT[i]-m.step) + inner*m.step
	}
	return outer * m.endT[i]
}

// deduct lists what takes air from the inside, and strikes the balance.
func (m *maker) deduct() error {
	b := m.box
	add := func(name string, v float64) {
		if v > 0 {
			b.Deductions = append(b.Deductions, Deduction{name, v})
		}
	}
	if n := float64(m.Count); m.Count == 1 {
		add("driver", m.Driver.Displacement)
	} else {
		add(fmt.Sprintf("%d drivers", m.Count), n*m.Driver.Displacement)
	}
	port := 0.0
	for _, s := range b.PortSeats {
		port += s.InsideVolume
	}
	add("port", port)
	for _, l := range m.layers {
		add(l.name, l.volume())
	}
	wood := 0.0
	for _, x := range m.braces {
		wood += x.volume
	}
	for _, x := range m.strips {
		wood += x.length * x.height * x.t
	}
	add("braces", wood)
	add("terminal plate", m.cupVolume())
	m.deductCleats(add)
	b.NetVolume = b.InsideVolume
	for _, d := range b.Deductions {
		b.NetVolume -= d.Volume
	}
	if b.NetVolume <= 0 {
		e := &BuildError{Reason: NoAir, Value: b.NetVolume, Limit: b.InsideVolume,
			Text: fmt.Sprintf("driver, port and wood inside take %s, all of the %s between the walls: no air is left",
				unit.FormatVolume(b.InsideVolume-b.NetVolume, m.Units), unit.FormatVolume(b.InsideVolume, m.Units))}
		if m.Port != nil {
			e.LongestPort = m.Port.Length // a shorter one may do: leaveAir looks
		}
		return e
	}
	return nil
}
