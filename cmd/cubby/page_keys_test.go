package main

import (
	"errors"
	"os"
	"path/filepath"
	"regexp"
	"slices"
	"strings"
	"testing"

	"cubby/internal/job"
)

// everywhere has a key that nobody knows in every mapping of a job; the fault names those that are known there.
const everywhere = `units: mm
none: 1
driver: {none: 1, coils: {none: 1}, bolts: {none: 1}}
amplifier: {none: 1, highpass: {none: 1}, lowpass: {none: 1}, boost: {none: 1}, ratings: [{none: 1}]}
vehicle: {none: 1}
air: {none: 1}
cavity: {none: 1, stations: [{none: 1}], blocks: [{none: 1}], walls: [{none: 1}], stick: [{none: 1}], passage: {none: 1}}
placing: {none: 1}
mount: {none: 1, at: {none: 1}, wiring: {none: 1}}
wood: {none: 1, panels: {none: 1}, covering: {none: 1}}
corners: [{none: 1}]
stock: [{none: 1}]
saw: {none: 1, handle: {none: 1}}
limits: {none: 1}
drawing: {none: 1}
prices: {none: 1}
terminal: {none: 1}
fixings: [{none: 1}]
port: {none: 1, at: {none: 1}, flange: {none: 1}}
passive: {none: 1, bolts: {none: 1}}
box: [{none: 1, outside: {none: 1}, port: {none: 1, slot: {none: 1}}, filling: {none: 1}, passive: {none: 1, bolts: {none: 1}}}]
`

// sparse is a job in which each thing stands that the page has fields for once it is there.
const sparse = `units: mm
driver: {name: mine, coils: {count: 2}}
passive: {name: other}
mount: {count: 2, wiring: {coils: series, drivers: series}}
amplifier: {highpass: {frequency: 20 Hz}, lowpass: {frequency: 80 Hz}, ratings: [{power: 100 W, into: 4 ohm}]}
cavity:
  stations: [{from_left: 0, roof: [[0, 200], [300, 200]], floor: [[0, 0], [300, 10]]}, {from_left: 900, like: 1}]
  walls: [{side: back, lean: 12 deg}]
  stick: [{from_left: 100, depth: 100, roof: 200}]
  blocks: [{name: plain, width: 50}, {name: hung, hangs: 50}, {name: bow, along: depth, round: 50, at: [100, 0]}, {name: hump, along: depth, outline: [[0, 0], [50, 0], [20, 20]]}]
stock: [{length: 2440, width: 1220}]
corners: [{between: [bottom, back], joint: mitre}]
fixings: [{face: bottom, from_left: 20, from_front: 20}]
box: [{name: shut, kind: sealed}, {name: tuned, kind: vented}, {name: coned, kind: passive, passive: {name: third}}, {name: inside, kind: bandpass}]
`

// TestPageEveryKey holds that whatever a job may say can be said on the page.
func TestPageEveryKey(t *testing.T) {
	browser := chromium(t)
	var known []string
	_, designed := job.Parse("x", []byte(everywhere), nil)
	_, checked := job.ParseCheck("x", []byte(everywhere), nil)
	for _, err := range []error{designed, checked} {
		var faults job.Faults
		if !errors.As(err, &faults) {
			t.Fatal(err)
		}
		for _, f := range faults {
			if keys, ok := strings.CutPrefix(f.Want, "unknown key; known here: "); ok {
				for key := range strings.SplitSeq(keys, ", ") {
					known = append(known, strings.TrimSuffix(f.Field, "none")+key)
				}
			}
		}
	}
	slices.Sort(known)
	known = slices.Compact(known)
	if len(known) < 200 {
		t.Fatalf("only %d keys are known", len(known))
	}
	dir := t.TempDir()
	file := filepath.Join(dir, "x.yaml")
	if err := os.WriteFile(file, []byte(sparse), 0o666); err != nil {
		t.Fatal(err)
	}
	v := visit(t, browser, served(t, file), 1440, 900)
	v.quiet()
	var seen strings.Builder
	look := func() {
		v.js(`(document.querySelectorAll('details').forEach((d) => (d.open = true)), '')`)
		seen.WriteString(v.js(`[...document.querySelectorAll('[data-path]')].map((e) => e.dataset.path).join('\n')`) + "\n")
	}
	for step := 1; step <= 7; step++ {
		v.step(step)
		look()
		for _, words := range map[int][]string{1: {"plain", "hung", "bow", "hump"}, 7: {"shut", "tuned", "coned", "inside"}}[step] {
			v.press(words)
			v.until(`[...document.querySelectorAll('.left button.on')].some((b) => b.textContent === %q)`, words)
			look()
		}
	}
	number := regexp.MustCompile(`\[\d+\]`)
	have := strings.Split(number.ReplaceAllString(seen.String(), "[]"), "\n")
	// Drawn in the other forms of a space, or chosen by a button of its own; a driver file's own.
	apart := regexp.MustCompile(`^(units|(cavity|box\[\]\.outside)\.(profile|depths|width|depth|height)|cavity\.stations\[\]\.like|(driver|passive|box\[\]\.passive)\.(units|file))$`)
	var lacking []string
	for _, key := range known {
		key = number.ReplaceAllString(key, "[]")
		if !apart.MatchString(key) && !slices.ContainsFunc(have, func(p string) bool {
			return p == key || strings.HasPrefix(p, key+".") || strings.HasPrefix(p, key+"[")
		}) {
			lacking = append(lacking, key)
		}
	}
	if len(lacking) > 0 {
		t.Errorf("%d of %d keys have no field: %s", len(lacking), len(known), strings.Join(lacking, ", "))
	}
}
