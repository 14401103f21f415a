package job

import (
	"bytes"
	"fmt"
	"strings"
	"testing"
	"time"
)

// hangTime is when a file counts as never answered. How long an answer takes is BenchmarkHostile's to say.
const hangTime = 30 * time.Second

// hostileFiles are files of up to 1 MiB that are made to be slow to read.
func hostileFiles() map[string][]byte {
	fill := func(s string) []byte { return bytes.Repeat([]byte(s), largest/len(s)) }
	half := func(open, shut string) []byte {
		n := largest / 2 / max(len(open), len(shut))
		return append(bytes.Repeat([]byte(open), n), bytes.Repeat([]byte(shut), n)...)
	}
	var bomb, keys, anchors strings.Builder
	for i := range 40 {
		fmt.Fprintf(&bomb, "a%d: &a%d [%s]\n", i, i, strings.Repeat(fmt.Sprintf("*a%d, ", max(0, i-1)), 30))
	}
	for i := 0; keys.Len() < largest-20; i++ {
		fmt.Fprintf(&keys, "k%d: 1\n", i)
	}
	for i := 0; anchors.Len() < largest-40; i++ {
		fmt.Fprintf(&anchors, "k%d: &a%d {<<: *a%d}\n", i, i, max(0, i-1))
	}
	return map[string][]byte{
		"alias bomb": []byte(bomb.String()), "many keys": []byte(keys.String()), "many anchors": []byte(anchors.String()),
		"brackets": fill("["), "braces": fill("{"), "closed brackets": half("[", "]"), "closed braces": half("{a: ", "}"),
		"dashes": fill("- "), "questions": fill("? "), "colons": fill(": "), "spaces": fill(" "), "line ends": fill("\n"), "tabs": fill("\t"),
		"long word": fill("x"), "long number": fill("9"), "number value": append([]byte("units: "), fill("9")[8:]...),
		"long comment": append([]byte("#"), fill("x")[1:]...), "comments": fill("#\n"), "open quote": append([]byte(`"`), fill("x")[1:]...),
		"escapes": append([]byte(`a: "`), fill(`\u0041`)[8:]...), "quotes": fill(`'`), "documents": fill("---\n"), "directives": fill("%YAML 1.2\n"),
		"tags": fill("!!str "), "bars": fill("|\n"), "commas": fill(","), "stars": fill("*a "), "ampersands": fill("&a "), "zeros": fill("\x00"),
		"not UTF-8": fill("\xff"), "fractions": append([]byte("cavity: {width: "), fill("1/")[20:]...), "same key": fill("a: 1\n"),
		"deep map": []byte(deepMap(600)), "exponent": []byte("cavity: {width: 1e999999999999999999999}\n"), "merge": fill("<<: {a: 1}\n"),
		"rows": fill("1,1,1,1,1,1\n"), "cells": append([]byte("name,count,length_mm,width_mm,thickness_mm\n"), fill("a,")[60:]...), "quoted cells": fill(`"a""b",`),
		"curve": append([]byte("frequency_hz,gain_db\n"), fill("20,1\n")[30:]...), "too large": bytes.Repeat([]byte("a: b\n"), largest),
	}
}

// hostileReaders are the ways in which a file is read.
var hostileReaders = map[string]func([]byte) error{
	"job":   func(data []byte) error { _, err := Parse("f", data, noFiles); return err },
	"parts": func(data []byte) error { _, err := ParseParts("f", data); return err },
	"sweep": func(data []byte) error { _, err := ParseSweep("f", data); return err },
	"cabin": func(data []byte) error {
		if _, faults := curve("f", data); faults != nil {
			return faults
		}
		return nil
	},
}

// TestHostileFiles holds that every slow file is answered, and with faults that say where.
func TestHostileFiles(t *testing.T) {
	var slowest time.Duration
	var which string
	for name, data := range hostileFiles() {
		for reader, read := range hostileReaders {
			begun := time.Now()
			err := read(data)
			if took := time.Since(begun); took > slowest {
				slowest, which = took, name+" as a "+reader
			}
			if err != nil {
				checkFaults(t, err)
			}
		}
	}
	t.Logf("slowest answer: %v, %s", slowest, which)
	if slowest > hangTime {
		t.Errorf("%s hangs: answered after %v", which, slowest)
	}
}

// BenchmarkHostile times each slow file in each reader.
func BenchmarkHostile(b *testing.B) {
	for name, data := range hostileFiles() {
		for reader, read := range hostileReaders {
			b.Run(reader+"/"+strings.ReplaceAll(name, " ", "-"), func(b *testing.B) {
				for b.Loop() {
					_ = read(data)
				}
			})
		}
	}
}

// deepMap is a mapping in a mapping, n deep, each indented by one more.
func deepMap(n int) string {
	var b strings.Builder
	for i := range n {
		b.WriteString(strings.Repeat(" ", i) + "a:\n")
	}
	return b.String()
}
