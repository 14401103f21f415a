package job

import (
	"bytes"
	"fmt"
	"strings"
	"testing"
	"time"
)

// answerTime is the most that refusing a file may take: a second, with slack for a machine that is busy with other tests
// or has the race detector on.
const answerTime = time.Second

// TestRefusedQuickly feeds files of up to 1 MiB that are made to be slow to read: each is answered within a second.
func TestRefusedQuickly(t *testing.T) {
	slack := 8 * answerTime
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
	for name, data := range map[string][]byte{
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
	} {
		for reader, read := range map[string]func() error{
			"job":   func() error { _, err := Parse("f", data, noFiles); return err },
			"parts": func() error { _, err := ParseParts("f", data); return err },
			"sweep": func() error { _, err := ParseSweep("f", data); return err },
			"cabin": func() error {
				if _, faults := curve("f", data); faults != nil {
					return faults
				}
				return nil
			},
		} {
			var err error
			took := time.Hour
			for try := 0; try < 3 && took > answerTime; try++ { // the best of three: a busy machine is not the reader's fault
				begun := time.Now()
				err = read()
				took = min(took, time.Since(begun))
			}
			if took > answerTime {
				t.Logf("%s as a %s: %v", name, reader, took)
			}
			if took > slack {
				t.Errorf("%s as a %s: answered after %v", name, reader, took)
			}
			if err != nil {
				checkFaults(t, err)
			}
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
