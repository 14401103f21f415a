package design

import (
	"fmt"
	"math"
	"strings"

	"cubby/internal/cavity"
	"cubby/internal/panels"
	"cubby/internal/word"
)

// spaceRows are the rows on heights that nobody has measured yet.
func (f *finder) spaceRows() []Check {
	var places []string
	for _, p := range f.room.Guess {
		places = append(places, fmt.Sprintf("the %s %s from the left and %s deep, taken as %s", p.Surface, f.length(p.X), f.length(p.Y), f.length(p.Z)))
	}
	if len(places) == 0 {
		return nil
	}
	return []Check{row("heights marked ?", panels.NotChecked, float64(len(places)), 0, "", "measure "+strings.Join(places, "; "))}
}

// doubts are warnings of heights that do not go with their neighbours.
func (f *finder) doubts() []string {
	var all []string
	for _, d := range f.room.Doubts {
		all = append(all, fmt.Sprintf("station %d, height %d of the %s: %s lies %s off the lines through its neighbours, which give %s; measure it again, and write sure behind it if it is right",
			d.Station, d.Reading, d.Surface, f.length(d.Height), f.length(math.Abs(d.Height-d.Expected)), f.length(d.Expected)))
	}
	return all
}

// toldCorners is the most corners whose loss is told: with more a section is seldom cut.
const toldCorners = 6

// ladderText says what a section with fewer corners loses, along the axis that holds most; empty where four lose nothing.
func (f *finder) ladderText() string {
	var best cavity.Rung
	for _, r := range f.ladder {
		if r.Air > best.Air {
			best = r
		}
	}
	along := map[cavity.Axis]string{cavity.Across: "across the space", cavity.Depth: "along its depth", cavity.Up: "upright"}[best.Axis]
	var parts []string
	for k := len(f.ladder) - 1; k >= 0; k-- {
		if r := f.ladder[k]; r.Axis == best.Axis && r.Corners >= 4 && r.Corners <= toldCorners && r.Corners < best.Corners {
			parts = append(parts, fmt.Sprintf("%d lose %s", r.Corners, f.volume(r.Lost)))
		}
	}
	if len(parts) == 0 {
		return ""
	}
	return fmt.Sprintf("a box %s holds at most %s between its boards with a section of %d corners; %s", along, f.volume(best.Air), best.Corners, word.List(parts))
}
