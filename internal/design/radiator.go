package design

import (
	"cubby/internal/panels"
	"cubby/internal/thielesmall"
)

// Passives are equal passive radiators: those on hand for a box that is designed, or those of a ready-made one.
type Passives struct {
	Spec      thielesmall.Spec // of one, as it is sold, less the motor
	Frame     panels.Driver    // the same as a thing of metal
	Count     int              // that a box gets; 0: 1
	MostAdded float64          // kg, the most that may be added to each
	Face      string           // that they go into; empty: any that has room
	File      string           // as written in the job; empty when inline
}
