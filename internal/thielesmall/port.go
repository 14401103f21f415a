package thielesmall

import (
	"errors"
	"math"
)

// Port is one duct of uniform section. Several ports are several elements.
type Port struct {
	Area     float64    // m2
	Length   float64    // mouth to mouth along the centre line, m
	Ends     [2]float64 // end corrections in metres, outside first, inside last
	Friction bool       // viscous loss at the wall
}

// effective returns the length with both end corrections, m.
func (p Port) effective() float64 { return p.Length + p.Ends[0] + p.Ends[1] }

// check reports a duct that cannot be.
func (p Port) check() error {
	err := errors.Join(
		positive("port area", p.Area, "m2"), notNegative("port length", p.Length, "m"),
		notNegative("port outer end correction", p.Ends[0], "m"),
		notNegative("port inner end correction", p.Ends[1], "m"),
	)
	if err == nil {
		err = positive("port length with end corrections", p.effective(), "m")
	}
	return err
}

// FirstResonance returns the lowest standing wave of the duct, open at both ends, in Hz: c / (2 (L + ends)).
func (p Port) FirstResonance(a Air) float64 { return a.SoundSpeed / (2 * p.effective()) }

// End corrections of round tubes at low frequency, as multiples of the inner radius. Flanged: Nomura, Yamamura,
// Inawashiro 1960, as quoted in Dalmont, Nederveen, Joly, J. Sound Vib. 244 (2001) 505 (0.8216; 0.8217 is the usual
// rounding up). Free: Levine, Schwinger, Phys. Rev. 73 (1948) 383, quoted in the same.
const (
	flushEnd = 0.8217
	freeEnd  = 0.6133
)

// EndFlush returns the end correction of a round mouth of radius a metres that opens in a wide flat wall, m.
func EndFlush(a float64) float64 { return flushEnd * a }

// EndFree returns the end correction of a round tube of radius a metres that ends in free air, m.
func EndFree(a float64) float64 { return freeEnd * a }

// EndNear returns the end correction of a round mouth of radius a metres that
// opens into a box whose section facing it has boxSection square metres, m:
//
//	0.8217 a (1 - 1.35 xi + 0.31 xi^3),  xi = sqrt(pi a^2 / boxSection)
//
// Kergomard, Garcia, J. Sound Vib. 114 (1987) 465 (from memory); within 0.5 % of the exact concentric case to xi = 0.7.
// Where the mouth fills the section nothing is left of the correction and it is 0.
func EndNear(a, boxSection float64) float64 {
	if !(a > 0) {
		return 0
	}
	if !(boxSection > 0) {
		return EndFlush(a)
	}
	xi := math.Sqrt(math.Pi * a * a / boxSection)
	if xi >= 1 {
		return 0
	}
	return flushEnd * a * math.Max(0, 1-1.35*xi+0.31*xi*xi*xi)
}

// EndSlot returns the end correction of a rectangular mouth h by w metres in a wide flat wall, m. walls is how many
// further planes bound it at right angles: 0 none, 1 a plane along a long side, 2 also one along a short side (a
// corner). Each plane is a mirror that doubles the side across it.
//
//	delta = I / (2 pi w h)
//	I = 2/3 (3 w^2 h asinh(h/w) + 3 w h^2 asinh(w/h) + w^3 + h^3 - (w^2+h^2)^1.5)
//
// The self-potential of a rectangle, that is of a mouth in which the air moves
// as a rigid piston (derived; some 3 % above a mouth of uniform pressure).
func EndSlot(h, w float64, walls int) float64 {
	if !(h > 0) || !(w > 0) {
		return 0
	}
	h, w = math.Min(h, w), math.Max(h, w)
	if walls >= 1 {
		h *= 2
	}
	if walls >= 2 {
		w *= 2
	}
	i := 2.0 / 3 * (3*w*w*h*math.Asinh(h/w) + 3*w*h*h*math.Asinh(w/h) +
		w*w*w + h*h*h - math.Pow(w*w+h*h, 1.5))
	return i / (2 * math.Pi * w * h)
}

// EndSlotStep returns the end correction of a slot h metres high, as wide as
// the box, that lies on one wall and opens into a channel of height channel, m:
//
//	delta = h 2/pi (ln((1-xi^2)/(4 xi)) + (xi+1/xi)/2 ln((1+xi)/(1-xi))),  xi = h/channel
//
// The plane step of a duct (derived; confirmed by a modal sum). A slot in the
// middle of the height has half of it. It is 0 where the slot fills the channel.
func EndSlotStep(h, channel float64) float64 {
	xi := h / channel
	if !(xi > 0) || xi >= 1 {
		return 0
	}
	return h * 2 / math.Pi * (math.Log((1-xi*xi)/(4*xi)) + 0.5*(xi+1/xi)*math.Log((1+xi)/(1-xi)))
}

// PortLength returns the length, mouth to mouth in metres, of count equal ducts of the given area (each, m2) that tune
// volume (net, m3) to fb hertz; endSum is the sum of both end corrections of one duct, m:
//
//	L = count S c^2 / (V (2 pi fb)^2) - endSum
//
// ok is false, and the length zero, when no duct is that short or when an argument is not a positive number.
func PortLength(a Air, volume, fb, area float64, count int, endSum float64) (length float64, ok bool) {
	w := 2 * math.Pi * fb
	length = float64(count)*area*a.SoundSpeed*a.SoundSpeed/(volume*w*w) - endSum
	if !(volume > 0) || !(fb > 0) || !(area > 0) || count < 1 || !(endSum >= 0) || !(length >= 0) || math.IsInf(length, 1) {
		return 0, false
	}
	return length, true
}

// RuleOfThumbPortArea returns the least total port area, m2, by the rule
//
//	S = 0.8 fb Vd
//
// fb in Hz, vd = Sd Xmax in m3: common practice after Small, Vented-Box Loudspeaker Systems Part II, J. Audio Eng. Soc.
// 21 (1973) (from memory). It holds the air near 5 % of the speed of sound.
func RuleOfThumbPortArea(fb, vd float64) float64 { return 0.8 * fb * vd }
