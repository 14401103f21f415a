package thielesmall

import (
	"errors"
	"fmt"
	"math"
)

// System is everything that the circuit is made of.
type System struct {
	Air     Air
	Driver  Driver // as wired
	Box     Box
	Source  float64 // source plus lead resistance, ohm
	Filters []Filter
}

// Circuit is a System made ready to be solved at any frequency. It is immutable and safe for concurrent use.
type Circuit struct {
	System System

	motor
	chamber
	radiation float64 // rho/(2 pi r)
	filters   []transfer
	corner    float64 // fb or fc, Hz
}

// motor is what moves the cones, coil and suspension.
type motor struct {
	resistance float64 // Source + Re
	lag        float64 // L2/R2, s; 0 without the pair
	stiffness  float64 // 1/Cms
	area2      float64 // Sd^2
	motor2     float64 // Bl^2
}

// chamber is the air and what lets it out.
type chamber struct {
	compliance float64 // Cab
	absorb     float64 // RA Cab, s
	leak       float64 // 1/RL
	rear       float64 // stiffness of the rear chamber on the cones, N/m; 0 none
	ducts      []duct
	passive    cone
}

// listening is the distance at which level is stated, m.
const listening = 1.0

// NewCircuit checks the system and makes it ready. The error joins a [RangeError] for every quantity that cannot be.
func NewCircuit(s System) (*Circuit, error) {
	err := errors.Join(s.Air.check(), s.Driver.check(), s.Box.check(), notNegative("source resistance", s.Source, "ohm"))
	for i, f := range s.Filters {
		if e := f.check(); e != nil {
			err = errors.Join(err, fmt.Errorf("filter %d: %w", i+1, e))
		}
	}
	if err != nil {
		return nil, err
	}
	s.Box.Ports = append([]Port(nil), s.Box.Ports...)
	s.Filters = append([]Filter(nil), s.Filters...)
	c := &Circuit{
		System: s,
		motor: motor{resistance: s.Source + s.Driver.Re, stiffness: 1 / s.Driver.Cms, area2: s.Driver.Sd * s.Driver.Sd,
			motor2: s.Driver.Bl * s.Driver.Bl},
		chamber:   chamber{compliance: s.Box.compliance(s.Air)},
		radiation: s.Air.Density / (2 * math.Pi * listening),
		corner:    s.corner(),
	}
	if s.Driver.R2 > 0 {
		c.lag = s.Driver.L2 / s.Driver.R2
	}
	w := 2 * math.Pi * c.corner
	if s.Box.AbsorbQ > 0 {
		c.absorb = 1 / (w * s.Box.AbsorbQ)
	}
	if s.Box.LeakQ > 0 {
		c.leak = w * c.compliance / s.Box.LeakQ
	}
	c.ducts, c.passive = ductsOf(s.Box.Ports, s.Air), s.Box.Passive.cone()
	if s.Box.Rear > 0 {
		c.rear = s.Air.stiffness() / s.Box.Rear * c.area2
	}
	for _, f := range s.Filters {
		c.filters = append(c.filters, f.transfer())
	}
	return c, nil
}

// corner returns fb of a vented box and fc of a sealed one, Hz.
func (s System) corner() float64 {
	if s.Box.Tuned() {
		return s.Box.Tuning(s.Air)
	}
	return s.Driver.Fs() * math.Sqrt(1+s.Driver.Vas(s.Air)/(s.Box.Volume*s.Box.gain()))
}

// Without returns the same system without filters.
func (c *Circuit) Without() *Circuit {
	if len(c.filters) == 0 {
		return c
	}
	bare := *c
	bare.filters, bare.System.Filters = nil, nil
	return &bare
}

// Warm returns the same system with a coil of ratio times the resistance: 1.393 for copper that is 100 K warmer.
// Everything else stays, the leak's resonance included.
func (c *Circuit) Warm(ratio float64) *Circuit {
	warm := *c
	warm.System.Driver.Re *= ratio
	warm.resistance = warm.System.Source + warm.System.Driver.Re
	return &warm
}

// Lumped returns the same system with each duct as a mass alone.
func (c *Circuit) Lumped() *Circuit {
	if len(c.ducts) == 0 {
		return c
	}
	l := *c
	l.ducts = make([]duct, len(c.ducts))
	for i, d := range c.ducts {
		l.ducts[i] = duct{count: d.count, area: d.area, impedance: d.impedance, outer: d.outer + 2*d.half + d.inner}
	}
	return &l
}

// Filter returns the complex gain of all filters at f Hz.
func (c *Circuit) Filter(f float64) complex128 {
	h, _ := c.filter(2 * math.Pi * f)
	return h
}

// filter returns the gain of all filters and the derivative of its logarithm.
func (c *Circuit) filter(w float64) (gain, slope complex128) {
	gain = 1
	for i := range c.filters {
		h, s := c.filters[i].at(w)
		gain *= h
		slope += s
	}
	return gain, slope
}
