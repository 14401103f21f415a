// Package job reads job files and driver files: what a person measured, has and wishes, written in YAML by hand.
//
// Parse turns a job into a design.Request in SI units; ParseDriver does the same for a driver by itself; Starter gives
// a commented job to start from. The package opens nothing: files that a job names come through the Open that its
// caller hands in.
//
// Reading is strict. A document is walked node by node, so that every fault is found in one go and each can name its
// line, its field, the value as written and what would be right: unknown keys (with the nearest known one), keys that
// stand twice, wrong kinds and units, values that nothing real can have, texts that cannot be printed. Aliases, anchors,
// merge keys, tags and second documents are refused. A value that is not written stays zero in the Request: what to
// assume in its place is for package design to say.
//
// Beside these: radiator.go reads passive radiators, makers.go reads words and shapes of makers' sheets in a driver file, paste.go, paste_values.go and paste_words.go the text of
// such a sheet, instrument.go and touchstone.go what instruments write, blank.go makes a starter to be filled in and finds
// what is left of the sample.
package job
