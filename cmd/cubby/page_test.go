package main

import (
	"bytes"
	"context"
	"encoding/json"
	"fmt"
	"os"
	"path/filepath"
	"regexp"
	"strings"
	"testing"
	"time"

	"github.com/chromedp/cdproto/browser"
	"github.com/chromedp/cdproto/cdp"
	"github.com/chromedp/chromedp"
	"github.com/chromedp/chromedp/kb"
)

// keep lets a tab save its downloads in a folder.
func (v *visitor) keep(dir string) {
	v.Helper()
	v.do(chromedp.Func(func(ctx context.Context, t *chromedp.Target) error {
		_, err := cdp.Call(ctx, t, browser.SetDownloadBehavior, browser.SetDownloadBehaviorParams{Behavior: "allow", DownloadPath: dir, BrowserContextID: chromedp.FromContext(v.ctx).BrowserContextID})
		return err
	}))
}

// downloaded waits for a whole file.
func (v *visitor) downloaded(name string) []byte {
	v.Helper()
	for end := time.Now().Add(patience); time.Now().Before(end); time.Sleep(50 * time.Millisecond) {
		if data, err := os.ReadFile(name); err == nil && len(data) > 0 {
			return data
		}
	}
	v.shot("failed")
	v.Fatalf("%s never came", name)
	return nil
}

// TestPageFromEmpty does a whole job as someone without an editor does it: from nothing to the PDF.
func TestPageFromEmpty(t *testing.T) {
	tab := chromium(t)
	dir, down := folderOf(t), t.TempDir()
	v := visit(t, tab, served(t, filepath.Join(dir, "mine.yaml")), 1440, 900)
	v.keep(down)
	v.quiet()
	v.until(`document.querySelector('#phrase').innerText === 'No verdict yet'`)
	v.shot("empty")
	v.press("a section, the same all along")
	v.until(`document.querySelector('input[data-path="cavity.width"]')`)
	v.press("a plain box")
	v.fill("cavity.width", "900")
	v.fill("cavity.depth", "380")
	v.fill("cavity.height", "360")
	v.inside("a plain box")
	v.shot("empty-space")
	v.step(2)
	v.js(`(() => { const s = document.getElementById('driver-file'); s.value = 'drivers/furrow-10-flat.yaml'; s.dispatchEvent(new Event('change', {bubbles: true})); })()`)
	v.until(`cubby.job.driver`)
	v.step(3)
	v.fill("amplifier.power", "300")
	v.fill("amplifier.into", "4")
	v.step(4)
	v.fill("wood.sheet", "MDF")
	v.fill("wood.thickness", "18")
	v.until(`cubby.design?.designs.length`)
	v.press("Add a sheet")
	// A check that lacks something names it as its field is called, and leads there.
	v.step(6)
	v.press("clear air before it")
	v.until(`document.activeElement.dataset.path === 'mount.air_in_front'`)
	v.fill("mount.air_in_front", "60")
	v.step(6)
	v.quiet()
	v.until(`!document.querySelector('[data-document=pdf]').disabled`)
	v.press("Save PDF")
	pdf := v.downloaded(filepath.Join(down, "mine.pdf"))
	if !bytes.HasPrefix(pdf, []byte("%PDF-")) || !bytes.Contains(pdf, []byte("%%EOF")) {
		t.Error("no PDF")
	}
	v.until(`cubby.text === cubby.saved`)
	saved, err := os.ReadFile(filepath.Join(dir, "mine.yaml"))
	if err != nil {
		t.Fatal(err)
	}
	for _, want := range []string{"units: mm\n", "width: '900'", "power: 300 W", "into: 4 ohm", "driver: drivers/furrow-10-flat.yaml\n"} {
		if !strings.Contains(strings.ReplaceAll(string(saved), "width: 900", "width: '900'"), want) {
			t.Errorf("%q is not in the file:\n%s", want, saved)
		}
	}
	// What the page says is what the command says of the file.
	sameDesign(t, filepath.Join(dir, "mine.yaml"), v)
}

// negativeZero is a zero that JSON can write with a sign; what stands before it is left out, to find two in a row.
var negativeZero = regexp.MustCompile(`-0([\],}])`)

// sameDesign holds the page's design against that of the command on the saved file.
func sameDesign(t *testing.T, file string, v *visitor) {
	t.Helper()
	var out, errs bytes.Buffer
	if code := run(t.Context(), []string{"design", file, "--json", "--out", filepath.Join(t.TempDir(), "x.pdf")}, strings.NewReader(""), &out, &errs); code == exitError || code == exitUsage {
		t.Fatalf("design: %s", errs.String())
	}
	plain := func(data []byte) string {
		var d map[string]any
		if err := json.Unmarshal(data, &d); err != nil {
			t.Fatalf("%v: %.200s", err, data)
		}
		delete(d, "job") // the file as the user wrote it
		b, _ := json.Marshal(d)
		return negativeZero.ReplaceAllString(string(b), "0$1") // which a browser writes as 0
	}
	want, got := plain(out.Bytes()), plain([]byte(v.js(`JSON.stringify(cubby.design)`)))
	if got != want {
		at := 0
		for at < min(len(got), len(want)) && got[at] == want[at] {
			at++
		}
		t.Errorf("%s: the page says other than the command\npage    ...%.200s\ncommand ...%.200s", file, got[max(0, at-60):], want[max(0, at-60):])
	}
}

// TestPageExamples opens examples, every one with -long, changes a value, saves and compares with the command; then takes
// the change back and finds the file as it was, byte for byte.
func TestPageExamples(t *testing.T) {
	jobs := []struct{ job, key, value string }{
		{"cargo-floor-rectangle", "gap", "8"}, {"second-row-slot", "width", "300"},
		{"under-bench-wedge", "gap", "1/2"}, {"side-pocket-mitred", "gap", "5/16"}, {"stepped-load-bay", "gap", "10"},
	}
	if !*long {
		jobs = jobs[:2]
	}
	tab := chromium(t)
	dir := folderOf(t)
	v := visit(t, tab, served(t, filepath.Join(dir, jobs[0].job+".yaml")), 1440, 900)
	for _, c := range jobs {
		file := filepath.Join(dir, c.job+".yaml")
		before, err := os.ReadFile(file)
		if err != nil {
			t.Fatal(err)
		}
		v.press("Jobs")
		v.press(c.job + ".yaml")
		v.until(`cubby.name === %q && cubby.design && !cubby.waiting`, c.job+".yaml")
		v.step(1)
		v.fill("cavity."+c.key, c.value)
		v.until(`cubby.text === cubby.saved && cubby.text.includes(%q)`, c.key+": "+c.value)
		sameDesign(t, file, v)
		after, _ := os.ReadFile(file)
		if lines(before) != lines(after) {
			t.Errorf("%s: other lines changed than the one that was edited", c.job)
		}
		v.press("Undo")
		v.until(`cubby.text === cubby.saved && !cubby.undo.length`)
		if again, _ := os.ReadFile(file); !bytes.Equal(again, before) {
			t.Errorf("%s: not as it was after undo", c.job)
		}
	}
}

// lines is the number of lines, and those that hold a comment.
func lines(data []byte) string {
	return fmt.Sprint(bytes.Count(data, []byte("\n")), bytes.Count(data, []byte("#")))
}

// TestPageFaults types what cannot be: the words of the command stand at the field, the answer goes on with the last
// right value, and the file is saved all the same.
func TestPageFaults(t *testing.T) {
	tab := chromium(t)
	dir := folderOf(t)
	file := filepath.Join(dir, "cargo-floor-rectangle.yaml")
	v := visit(t, tab, served(t, file), 1440, 900)
	v.quiet()
	v.step(1)
	v.fill("cavity.width", "-3")
	var out, errs bytes.Buffer
	v.until(`cubby.text === cubby.saved`)
	run(t.Context(), []string{"design", file}, strings.NewReader(""), &out, &errs)
	command := strings.TrimSpace(errs.String())
	want := command[strings.LastIndex(command, ": ")+2:]
	v.until(`document.querySelector('.gauge.refused .why')`)
	got := v.js(`document.querySelector('input[data-path="cavity.width"]').closest('.gauge').querySelector('.why')?.innerText`)
	if !strings.Contains(got, want) || !strings.Contains(got, "Kept: 880") {
		t.Errorf("at the field: %q; the command says %q", got, command)
	}
	if v.js(`document.querySelector('input[data-path="cavity.width"]').getAttribute('aria-invalid')`) != "true" {
		t.Error("the field is not marked as wrong")
	}
	v.until(`cubby.keptUsed && !cubby.stale`)
	v.shot("refused")
	v.step(5)
	v.press("as loud as it gets")
	v.quiet()
	v.until(`cubby.design.aim === 'loud' && cubby.keptUsed`)
	v.step(1)
	v.fill("cavity.width", "870")
	v.until(`!cubby.job.faults.length && !cubby.keptUsed`)
}

// TestPagePaste takes a driver's figures as text.
func TestPagePaste(t *testing.T) {
	tab := chromium(t)
	dir := folderOf(t)
	v := visit(t, tab, served(t, filepath.Join(dir, "cargo-floor-rectangle.yaml")), 1440, 900)
	v.quiet()
	v.step(2)
	v.press("Paste a data sheet")
	sheet, err := os.ReadFile(filepath.Join(dir, "drivers", "dibble-8.yaml"))
	if err != nil {
		t.Fatal(err)
	}
	v.until(`document.getElementById('sheet')`)
	v.js(`(() => { const a = document.getElementById('sheet'); a.focus(); a.value = %q; a.dispatchEvent(new Event('input', {bubbles: true})); })()`, sheet)
	v.press("Take these figures")
	v.until(`cubby.job.tree.k.includes('driver') && cubby.text.includes('Dibble 8')`)
	v.quiet()
	v.until(`cubby.design.driver_single.name === 'Dibble 8'`)
	if !strings.Contains(v.js(`cubby.text`), "fs: 38 Hz") {
		t.Error("the figures are not in the job")
	}
}

// TestPageTwoTabs has one job open twice, and a third hand at the file: nobody overwrites another.
func TestPageTwoTabs(t *testing.T) {
	tab := chromium(t)
	file := filepath.Join(folderOf(t), "cargo-floor-rectangle.yaml")
	address := served(t, file)
	one := visit(t, tab, address, 1440, 900)
	one.quiet()
	two := visit(t, tab, address, 1440, 900)
	two.quiet()
	two.step(1)
	two.fill("cavity.gap", "9")
	two.until(`cubby.text === cubby.saved`)
	one.until(`cubby.conflict`)
	one.step(1)
	one.fill("cavity.gap", "7")
	time.Sleep(600 * time.Millisecond)
	data, err := os.ReadFile(file)
	if err != nil || !bytes.Contains(data, []byte("gap: 9")) {
		t.Errorf("one tab has overwritten the other: %v\n%s", err, data)
	}
	one.shot("changed-on-disk")
	one.press("Show what is on disk")
	one.until(`!cubby.conflict && cubby.text.includes('gap: 9')`)
	one.press("Undo")
	one.until(`cubby.text.includes('gap: 7') && cubby.text === cubby.saved`)
	// Another program.
	changed := bytes.Replace(data, []byte("gap: 9"), []byte("gap: 5"), 1)
	if err := os.WriteFile(file, changed, 0o666); err != nil {
		t.Fatal(err)
	}
	one.until(`cubby.conflict`)
	if now, _ := os.ReadFile(file); !bytes.Equal(now, changed) {
		t.Error("the other program's file was overwritten")
	}
}

// TestPageUnits switches the system of units: nothing is lost, and what is typed in the other one says its unit.
func TestPageUnits(t *testing.T) {
	tab := chromium(t)
	v := visit(t, tab, served(t, filepath.Join(folderOf(t), "under-bench-wedge.yaml")), 1440, 900)
	v.quiet()
	before := v.js(`cubby.text`)
	shown := `document.querySelector('input[data-path="cavity.gap"]')?.value`
	v.step(1)
	v.until("%s === '3/8'", shown)
	v.press("mm")
	v.until("%s === '≈ 9.5'", shown)
	if v.js(`cubby.text`) != before {
		t.Error("looking at it in the other system has changed the job")
	}
	v.fill("cavity.gap", "10")
	v.until(`cubby.text.includes('gap: 10 mm') && cubby.text === cubby.saved`)
	v.until("%s === '10'", shown)
	v.press("in")
	v.until("%s === '≈ 13/32'", shown)
	v.js(`document.querySelector('input[data-path="cavity.gap"]').focus()`)
	v.until("%s === '10 mm'", shown) // as typed, to be edited
	// A height that does not go with its neighbours is doubted at its field, until it was measured twice.
	v.js(`(document.querySelectorAll('.pin .press')[1].click(), '')`)
	v.fill("cavity.stations[2].roof[2][2]", "6")
	v.until(`document.querySelector('.gauge.doubtful input[data-path="cavity.stations[2].roof[2][2]"]')`)
	v.inside("doubtful")
	v.shot("doubtful")
	v.press("Keep 6")
	v.until(`cubby.text.includes('sure') && !document.querySelector('.gauge.doubtful') && !cubby.waiting`)
	// What has an outline is moved by all of its corners.
	corners := `cubby.job.tree.n[cubby.job.tree.k.indexOf('cavity')].n.flatMap((n) => n.l || []).flatMap((b) => b.n?.[b.k.indexOf('outline')]?.l || []).map((p) => p.l[0].mm)`
	all := v.js("%s", corners)
	v.js(`document.querySelector('svg.plan .block').focus()`)
	v.do(chromedp.KeyEvent(kb.ArrowRight))
	v.until(`String(%s) !== %q && !cubby.waiting`, corners, all)
	v.until(`((was, now) => was.length > 2 && was.every((x, i) => Math.abs(now[i] - x - 25.4 / 16) < 1e-6))(%q.split(',').map(Number), %s)`, all, corners)
}

// TestPageDrag moves what is in the way: by pointer in the plan, by arrows from the keyboard.
func TestPageDrag(t *testing.T) {
	tab := chromium(t)
	v := visit(t, tab, served(t, filepath.Join(folderOf(t), "stepped-load-bay.yaml")), 1440, 900)
	v.quiet()
	v.step(1)
	v.until(`document.querySelector('svg.plan rect.block')`)
	v.js(`document.querySelector('svg.plan').scrollIntoView({block: 'center'})`)
	var x, y float64
	if _, err := fmt.Sscan(v.js(`(() => { const b = document.querySelector('svg.plan rect.block').getBoundingClientRect(); return (b.left + b.width / 2) + ' ' + (b.top + b.height / 2); })()`), &x, &y); err != nil {
		t.Fatal(err)
	}
	v.do(chromedp.MouseEvent("mousePressed", x, y, chromedp.ButtonLeft), chromedp.MouseEvent("mouseMoved", x-30, y, chromedp.ButtonLeft),
		chromedp.MouseEvent("mouseMoved", x-60, y, chromedp.ButtonLeft), chromedp.MouseEvent("mouseReleased", x-60, y, chromedp.ButtonLeft))
	v.until(`!cubby.text.includes('from_left: 430') && cubby.text === cubby.saved`)
	left := v.js(`/from_left: (\d+), width: 130/.exec(cubby.text)[1]`)
	v.js(`document.querySelector('svg.plan rect.block').focus()`)
	v.do(chromedp.KeyEvent(kb.ArrowRight))
	var was, now int
	if _, err := fmt.Sscan(left, &was); err != nil {
		t.Fatal(err)
	}
	v.until(`/from_left: (\d+), width: 130/.exec(cubby.text)[1] !== %q`, left)
	if _, err := fmt.Sscan(v.js(`/from_left: (\d+), width: 130/.exec(cubby.text)[1]`), &now); err != nil || now != was+1 {
		t.Errorf("an arrow moved it from %d to %d", was, now)
	}
}

// TestPagePassive gives a job a passive radiator, from a file and two of it, and sees it in the answer and in the file.
func TestPagePassive(t *testing.T) {
	tab := chromium(t)
	file := filepath.Join(folderOf(t), "door-pocket-passive.yaml")
	text, err := os.ReadFile(file)
	if err != nil {
		t.Fatal(err)
	}
	bare := strings.Replace(string(text), "passive: radiators/dibble-8-passive.yaml\n", "", 1)
	if err := os.WriteFile(file, []byte(bare), 0o666); err != nil {
		t.Fatal(err)
	}
	v := visit(t, tab, served(t, file), 1440, 900)
	v.quiet()
	v.step(2)
	v.until(`document.querySelector('select[data-path=passive]')`)
	v.js(`(() => { const s = document.querySelector('select[data-path=passive]'); s.value = 'radiators/dibble-8-passive.yaml'; s.dispatchEvent(new Event('change', {bubbles: true})); })()`)
	v.until(`cubby.design?.designs[0].radiator?.name === 'Dibble 8 passive' && !cubby.waiting && cubby.text === cubby.saved`)
	v.axe("passive")
	v.shot("passive-driver")
	v.step(6)
	v.until(`[...document.querySelectorAll('.labels span')].some((x) => x.textContent === 'radiator')`)
	v.shot("passive-answer")
	sameDesign(t, file, v)
	v.step(2)
	v.press("More than one")
	v.fill("passive.count", "2")
	v.until(`cubby.text.includes('passive: {file: radiators/dibble-8-passive.yaml, count: 2}')`)
	v.step(5)
	v.press("✓ sealed")
	v.until(`cubby.text.includes('consider: [vented, passive]') && !cubby.waiting`)
	v.step(2)
	v.press("None")
	v.until(`!cubby.text.includes('\\npassive:') && cubby.text.includes('consider: [vented]')`)
}
