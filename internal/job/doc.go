// Package job reads job files and driver files: what a person measured, has and wishes, written in YAML by hand.
//
// Parse turns a job into a design.Request in SI units; ParseDriver does the same for a driver by itself; Starter gives
// a commented job to start from. The package opens nothing: files that a job names come through the Open that its
// caller hands in.
//
// Reading is strict. A document is walked node by node, so that every fault is found in one go and each can name its
// line, its field, the value as written and what would be right: unknown keys (with the nearest known one), keys that
// stand twice, wrong kinds and units, values that nothing real can have, texts that cannot be printed. Aliases,
// anchors, merge keys, tags and second documents are refused. A value that is not written stays zero in the Request:
// what to assume in its place is for package design to say.
//
//	job.go, driver.go     a job, and the driver in it or in a file of its own
//	document.go           a file's one YAML document; reader.go mappings, lists and faults; values.go values; fault.go a fault
//	space.go, tape.go     the space: a profile, or stations with what stands between; crossing.go sides that cross
//	source.go             amplifier, vehicle and air; measured.go files that a job names
//	wood.go, hardware.go  boards, joints, saw and stock; terminals, fixings and ports; radiator.go passive radiators
//	placing.go, printed.go, box.go  where the box goes; what is printed; ready-made boxes
//	driverfile.go         writing a driver file; makers.go makers' words in one
//	paste.go, paste_values.go, paste_words.go  the text of a maker's sheet
//	catalogue.go, parts.go, csv.go  lists of drivers and of parts
//	instrument.go, touchstone.go    what instruments write
//	edit.go, edit_text.go, tree.go  changes that keep the text; a file's text as nodes
//	starter.go, blank.go  jobs to start from, and what is left of the sample
package job
