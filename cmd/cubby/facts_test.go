package main

import (
	"bytes"
	"context"
	"fmt"
	"math/rand/v2"
	"os"
	"os/exec"
	"path/filepath"
	"regexp"
	"strings"
	"testing"

	"cubby/internal/design"
	"cubby/internal/export"
	"cubby/internal/job"
	"cubby/internal/render"
	"cubby/internal/unit"
)

// anyJob is a job of a space, a driver, an aim and units at random.
func anyJob(rnd *rand.Rand) string {
	pick := func(all ...string) string { return all[rnd.IntN(len(all))] }
	mm := func(lo, hi int) string { return fmt.Sprintf("%d mm", lo+rnd.IntN(hi-lo)) }
	s := fmt.Sprintf("units: %s\ndate: 2026-03-14\ndriver: drivers/%s.yaml\naim: %s\n", pick("in", "mm"), pick("harrow-10", "dibble-8", "coulter-12", "furrow-10-flat"), pick("low", "loud", "flat", "compact"))
	s += fmt.Sprintf("amplifier: {power: %d W, into: %s ohm, lowpass: %d Hz}\n", 100+rnd.IntN(600), pick("1", "2", "4"), 70+rnd.IntN(40))
	s += fmt.Sprintf("cavity: {width: %s, depth: %s, height: %s, gap: 6 mm}\nmount: {face: %s, air_in_front: 40 mm}\n", mm(500, 1100), mm(340, 600), mm(190, 500), pick("top", "front"))
	s += "wood: {sheet: MDF, thickness: 18 mm" + pick("", ", covering: {kind: carpet, thickness: 4 mm}") + "}\nstock: [{sheet: MDF, length: 2440 mm, width: 1220 mm}]\n"
	return s + pick("", "vehicle: {cabin_length: 2.7 m, fronts: 1.2 m, sub: 2.1 m}\n")
}

// figure is a number with its unit as the reports print it.
var figurePattern = regexp.MustCompile(`[0-9][0-9./,-]*(?:"| (?:Hz|dB|l|cu ft|mm|kg|lb|V|W|Ω|m/s|ms)\b)`)

// Each figure of the summary is a figure of the PDF and of the JSON, on jobs at random.
func TestSummaryAgreesWithReportAndJSON(t *testing.T) {
	reader, err := exec.LookPath("pdftotext")
	if err != nil {
		if os.Getenv("CI") == "true" {
			t.Fatal("pdftotext is needed")
		}
		t.Skip("needs pdftotext")
	}
	const jobs = 6
	found := 0
	for seed := range uint64(jobs) {
		text := anyJob(rand.New(rand.NewPCG(seed, 5)))
		examples := filepath.Join("..", "..", "examples")
		req, err := job.Parse("job.yaml", []byte(text), func(name string) ([]byte, error) { return os.ReadFile(filepath.Join(examples, name)) })
		if err != nil {
			t.Fatalf("%v\n%s", err, text)
		}
		r, err := design.Run(context.Background(), *req)
		if err != nil {
			t.Fatalf("%v\n%s", err, text)
		}
		if len(r.Designs) == 0 {
			continue
		}
		found++
		var pdf, machine bytes.Buffer
		if err := render.Document(&pdf, r, render.Options{}); err != nil {
			t.Fatal(err)
		}
		if err := export.JSON(&machine, r, export.Head{}); err != nil {
			t.Fatal(err)
		}
		read := exec.Command(reader, "-raw", "-", "-")
		read.Stdin = &pdf
		out, err := read.Output()
		if err != nil {
			t.Fatal(err)
		}
		squeeze := func(s string) string { return strings.Join(strings.Fields(s), " ") }
		said, page, data := summary(r, "x.pdf", true), squeeze(string(out)), strings.ReplaceAll(machine.String(), `\"`, `"`)
		for i, line := range strings.Split(said, "\n") {
			if len([]rune(line)) > lineWidth || i > summaryLines {
				t.Errorf("seed %d: line %d of the summary: %q\n%s", seed, i+1, line, said)
			}
		}
		for _, f := range r.Facts(&r.Designs[0]) {
			shown := f.Text(req.Units)
			if !strings.Contains(squeeze(said), squeeze(f.Name+" "+shown)) {
				t.Errorf("seed %d: the summary does not say %s %s\n%s", seed, f.Name, shown, said)
			}
			key := map[unit.System]string{unit.Metric: "text_metric", unit.Inch: "text_inch"}[req.Units]
			if !strings.Contains(data, `"`+key+`": "`+shown+`"`) {
				t.Errorf("seed %d: JSON does not say %s %s", seed, f.Name, shown)
			}
		}
		for _, figure := range figurePattern.FindAllString(said, -1) {
			if !strings.Contains(page, figure) {
				t.Errorf("seed %d: %q is not in the PDF\n%s", seed, figure, said)
			}
			if !strings.Contains(data, figure) {
				t.Errorf("seed %d: %q is not in the JSON\n%s", seed, figure, said)
			}
		}
	}
	if found < jobs/2 {
		t.Errorf("%d of %d jobs have a box", found, jobs)
	}
}
