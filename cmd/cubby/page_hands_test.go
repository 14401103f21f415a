package main

import (
	"bytes"
	"context"
	"encoding/json"
	"fmt"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"github.com/chromedp/cdproto/cdp"
	"github.com/chromedp/cdproto/input"
	"github.com/chromedp/chromedp"
	"github.com/chromedp/chromedp/kb"
)

// tabTo presses Tab until the focus is on what a selector means.
func (v *visitor) tabTo(selector string) {
	v.Helper()
	v.until(`document.querySelector(%q)`, selector)
	for range 150 {
		if v.js(`document.activeElement.matches(%q)`, selector) == "true" {
			if v.js(`getComputedStyle(document.activeElement).outlineStyle`) == "none" {
				v.Errorf("%s has the focus and does not show it", selector)
			}
			return
		}
		v.do(chromedp.KeyEvent(kb.Tab))
	}
	v.shot("failed")
	v.Fatalf("Tab does not lead to %s; it is at %s", selector, v.js(`document.activeElement.outerHTML.slice(0, 200)`))
}

// keys types at what has the focus.
func (v *visitor) keys(text string) {
	v.Helper()
	v.do(chromedp.KeyEvent(text))
}

// TestPageByKeyboard does the whole job with keys alone: from nothing to the PDF, in the order of Tab.
func TestPageByKeyboard(t *testing.T) {
	tab := chromium(t)
	dir, down := folderOf(t), t.TempDir()
	v := visit(t, tab, served(t, filepath.Join(dir, "mine.yaml")), 1440, 900)
	v.keep(down)
	v.quiet()
	enter := func(path, text string) {
		t.Helper()
		v.tabTo(`input[data-path="` + path + `"]`)
		v.keys(text + kb.Enter)
		v.quiet()
		v.until(`cubby.text.includes(%q)`, strings.Fields(text)[0])
	}
	step := func(no int) {
		t.Helper()
		v.tabTo(fmt.Sprintf(`.step:nth-of-type(%d) .stepname`, no))
		v.keys(kb.Enter)
		v.until(`cubby.step === %d`, no)
	}
	v.tabTo(`.forms button:first-child`)
	v.keys(kb.Enter)
	v.until(`document.querySelector('input[data-path="cavity.width"]')`)
	enter("cavity.width", "900")
	enter("cavity.height", "360")
	enter("cavity.depth", "380")
	step(2)
	v.tabTo(`#driver-file`)
	v.keys("drivers/fur")
	v.until(`cubby.job.driver`)
	step(3)
	enter("amplifier.power", "300")
	enter("amplifier.into", "4")
	step(4)
	enter("wood.sheet", "MDF")
	enter("wood.thickness", "18")
	v.until(`cubby.design?.designs.length && !cubby.waiting`)
	step(6)
	v.tabTo(`.offer:nth-of-type(2)`)
	v.keys(kb.Enter)
	v.until(`cubby.pick === 1`)
	v.tabTo(`.knob`)
	v.keys(kb.ArrowLeft)
	v.until(`/net_volume: .* l/.test(cubby.text) && cubby.design && !cubby.waiting && !cubby.stale`)
	v.js(`document.querySelector('[data-document=pdf]').focus()`) // a new answer has other places
	v.until(`!document.querySelector('[data-document=pdf]').disabled`)
	v.tabTo(`[data-document=pdf]`)
	v.keys(kb.Enter)
	if pdf := v.downloaded(filepath.Join(down, "mine.pdf")); !bytes.HasPrefix(pdf, []byte("%PDF-")) {
		t.Error("no PDF")
	}
	// What is seen is told: the verdict where a reader hears of it, the view in words.
	v.until(`document.querySelector('.verdict [aria-live]').textContent.startsWith(document.getElementById('phrase').textContent)`)
	if words := v.js(`document.querySelector('.stage').getAttribute('aria-label')`); !strings.Contains(words, "from the left of the space") || !strings.Contains(words, "driver") {
		t.Errorf("the view in words: %s", words)
	}
}

// touch presses at a point, or draws from it to others.
func (v *visitor) touch(points ...[2]float64) {
	v.Helper()
	now := float64(time.Now().UnixMilli()) / 1000
	send := func(kind input.DispatchTouchEventType, at ...*input.TouchPoint) {
		now += 0.1 // as the browser is told: a finger that rests before it is lifted sets nothing going
		v.do(chromedp.Func(func(ctx context.Context, t *chromedp.Target) error {
			_, err := cdp.Call(ctx, t, input.DispatchTouchEvent, input.DispatchTouchEventParams{Type: kind, TouchPoints: at, Timestamp: input.TimeSinceEpoch(now)})
			return err
		}))
	}
	for i, p := range points {
		kind := input.DispatchTouchEventType("touchStart")
		if i > 0 {
			kind = "touchMove"
		}
		send(kind, &input.TouchPoint{X: p[0], Y: p[1]})
	}
	send("touchEnd")
}

// middle brings an element to where it can be touched and gives its middle.
func (v *visitor) middle(element string) (at [2]float64) {
	v.Helper()
	v.js(`(globalThis.drawn = false, requestAnimationFrame(() => requestAnimationFrame(() => (globalThis.drawn = true))), '')`)
	v.until(`globalThis.drawn && (%s)?.getBoundingClientRect().width`, element)
	v.js(`((%s).scrollIntoView({block: 'center'}), '')`, element)
	text := v.js(`(() => { const r = (%s).getBoundingClientRect(); return (r.left + r.width / 2) + ' ' + (r.top + r.height / 2); })()`, element)
	if _, err := fmt.Sscan(text, &at[0], &at[1]); err != nil {
		v.Fatal(err)
	}
	return at
}

func (v *visitor) tap(element string) { v.Helper(); v.touch(v.middle(element)) }

// TestPageByTouch works on a phone's width with fingers: another design, another size, a thing drawn out of the palette and
// moved, a stick's answer, undo and redo. What is pressed is large enough for a finger.
func TestPageByTouch(t *testing.T) {
	tab := chromium(t)
	v := visit(t, tab, served(t, filepath.Join(folderOf(t), "cargo-floor-rectangle.yaml")), 360, 780)
	v.until(`cubby.design && !cubby.waiting`)
	v.tap(`document.querySelectorAll('.offer')[1]`)
	v.until(`cubby.pick === 1`)
	small := v.js(`[...document.querySelectorAll('button, input, select, summary')].filter((e) => e.offsetParent && !e.closest('.unseen') && e.getBoundingClientRect().height < 43.5).map((e) => e.outerHTML.slice(0, 120)).join('; ')`)
	if small != "" {
		t.Errorf("too small for a finger: %s", small)
	}
	knob := v.middle(`document.querySelector('.knob')`)
	v.touch(knob, [2]float64{knob[0] - 20, knob[1]}, [2]float64{knob[0] - 60, knob[1]})
	v.until(`/net_volume: .* l/.test(cubby.text) && !cubby.waiting && !cubby.stale`)
	v.until(`document.querySelectorAll('.trade .point').length > 3`)                                                     // to pick another one from
	v.until(`cubby.held.text !== cubby.text && document.querySelector('.compare thead').textContent.includes('before')`) // to compare with
	v.tap(`document.querySelector('.open .stepname')`)
	v.tap(`document.querySelector('.stepname')`)
	v.until(`document.querySelector('.plan .air') && document.querySelectorAll('.thing').length > 3`)
	// The space from above is brought to a known place, for the thing to be drawn into it.
	v.js(`(document.querySelector('.plan').scrollIntoView({block: 'center'}), '')`)
	var thing, into [2]float64
	points := v.js(`[...document.querySelectorAll('.thing')].slice(1, 2).concat(document.querySelector('.plan .air')).map((e) => e.getBoundingClientRect()).map((r) => (r.left + r.width / 2) + ' ' + (r.top + r.height / 2)).join(' ')`)
	if _, err := fmt.Sscan(points, &thing[0], &thing[1], &into[0], &into[1]); err != nil {
		t.Fatal(err)
	}
	v.touch(thing, [2]float64{thing[0], thing[1] - 20}, into)
	v.until(`cubby.text.includes('name: post') && !cubby.waiting`)
	left := v.js(`/post.*?from_left: ['"]?(\d+)/s.exec(cubby.text)[1]`)
	var at float64
	if _, err := fmt.Sscan(left, &at); err != nil || at < 400 || at > 480 {
		t.Errorf("drawn into the middle of 880 mm, the post stands at %s", left)
	}
	block := v.middle(`document.querySelector('svg.plan rect.block')`)
	v.touch(block, [2]float64{block[0] + 20, block[1]}, [2]float64{block[0] + 60, block[1]})
	v.until(`/post.*?from_left: ['"]?(\d+)/s.exec(cubby.text)[1] !== %q && !cubby.waiting`, left)
	before := v.js(`cubby.text`)
	v.tap(`[...document.querySelectorAll('button')].find((b) => b.textContent === 'Undo')`)
	v.until(`cubby.text !== %q && !cubby.waiting`, before)
	v.tap(`document.querySelector('.open .stepname')`)
	v.tap(`[...document.querySelectorAll('.tucked button')].find((b) => b.textContent === 'Redo')`)
	v.until(`cubby.text === %q && !cubby.waiting`, before)
	v.tap(`document.querySelector('.open .stepname')`)
	if v.js(`cubby.design?.stick_tests.length > 0`) == "true" {
		v.js(`(document.querySelector('[id^=stick-]').focus(), '')`)
		v.keys("250" + kb.Tab)
		v.until(`/stick:/.test(cubby.text) && !cubby.waiting`)
	}
	v.inside("touched")
}

// TestPageBeside asks what stands beside the box that is built: one that somebody sells, the finished one by a sweep in a
// meter's own words, many drivers, several jobs. The page says what the commands say.
func TestPageBeside(t *testing.T) {
	tab := chromium(t)
	dir := folderOf(t)
	file := filepath.Join(dir, "check-built-tube.yaml")
	v := visit(t, tab, served(t, file), 1440, 900)
	said := func(what string, args ...string) {
		t.Helper()
		v.until(`((o) => o.answer && !o.waiting && (o.asked === cubby.text + o.with.join() || o.what !== %q))(cubby.other[%q])`, "check", what) // of the text as it is now
		var out, errs bytes.Buffer
		run(t.Context(), append([]string{what, "--json", "--out", filepath.Join(t.TempDir(), "x.pdf")}, args...), strings.NewReader(""), &out, &errs)
		var page, command map[string]any
		if err := json.Unmarshal([]byte(v.js(`JSON.stringify(cubby.other[%q].answer.said)`, what)), &page); err != nil {
			t.Fatal(err)
		}
		if err := json.Unmarshal(out.Bytes(), &command); err != nil {
			t.Fatalf("%v: %s", err, errs.String())
		}
		for _, d := range []map[string]any{page, command} {
			delete(d, "job") // and others by the names that they were given
			delete(d, "jobs")
		}
		if where := differs("", page, command); where != "" && !strings.Contains(where, ".source") {
			t.Errorf("%s: page and command differ at %s", what, where)
		}
	}
	said("check", file)
	v.until(`document.getElementById('phrase').textContent === 'Suits with cautions'`)

	v.step(8)
	sweep, err := os.ReadFile(filepath.Join(dir, "check-built-tube.csv"))
	if err != nil {
		t.Fatal(err)
	}
	rows := strings.SplitN(string(sweep), "\n", 2)[1]
	meter := "* Impedance, box 7\n* Freq(Hz)\tZ(ohm)\tPhase(deg)\n" + strings.ReplaceAll(rows, ",", "\t")
	v.js(`(() => { const d = new DataTransfer(); d.items.add(new File([%q], 'box7.zma')); document.querySelector('.drop').dispatchEvent(new DragEvent('drop', {dataTransfer: d, bubbles: true, cancelable: true})); return ''; })()`, meter)
	said("measured", file, filepath.Join(dir, "check-built-tube.csv"))
	v.until(`document.getElementById('phrase').textContent === 'Nearly as designed' && document.querySelector('.change')`)

	v.step(7)
	v.press("Another box")
	v.until(`cubby.text.includes('box 2')`)
	v.fill("box[2].net_volume", "20")
	v.fill("box[2].opening", "238")
	v.until(`cubby.text === cubby.saved && cubby.other.check.answer?.said.boxes.length === 2`)
	said("check", file)
	v.fill("box[2].opening", "-4")
	v.until(`document.querySelector('.gauge.refused input[data-path="box[2].opening"]')`)
	v.press("Undo")

	choose := func(names ...string) {
		for _, n := range names {
			v.js(`([...document.querySelectorAll('.tick')].find((l) => l.textContent === %q).querySelector('input').click(), '')`, n)
		}
	}
	v.step(9)
	choose("drivers/dibble-8.yaml", "drivers/furrow-10-flat.yaml")
	v.press("in the ready-made boxes")
	v.press("Rank them")
	v.until(`cubby.text === cubby.saved`)
	said("rank", file, filepath.Join(dir, "drivers/dibble-8.yaml"), filepath.Join(dir, "drivers/furrow-10-flat.yaml"))
	v.until(`document.getElementById('phrase').textContent.includes(' in ') && document.querySelectorAll('.scroll tbody tr').length === 4`)
	v.inside("pairs")
	v.axe("pairs")
	v.press("in boxes that are to be built")
	choose("drivers/furrow-10-flat.yaml")

	v.step(4)
	v.fill("wood.sheet", "MDF")
	v.fill("wood.thickness", "18")
	v.until(`cubby.design?.designs.length && !cubby.waiting`) // what could be built in its place
	v.step(9)
	choose("drivers/catalogue.csv")
	v.press("Rank them")
	v.until(`cubby.other.rank.answer && !cubby.other.rank.waiting`)
	v.press("Driver")
	v.until(`document.querySelector('th[aria-sort=ascending]')?.textContent.startsWith('Driver')`)
	name := v.js(`document.querySelector('.ranked tbody th button').textContent`)
	v.js(`(document.querySelector('.ranked tbody th button').click(), '')`) // of the list: its figures go into the job
	v.until(`cubby.text.includes(%q) && cubby.step === 6 && !cubby.waiting && cubby.design.driver_single.name === %q`, name, name)

	v.step(10)
	choose("cargo-floor-rectangle.yaml", "side-pocket-mitred.yaml")
	v.press("Lay them out")
	said("sheets", filepath.Join(dir, "cargo-floor-rectangle.yaml"), filepath.Join(dir, "side-pocket-mitred.yaml"))
	v.keep(dir)
	v.press("Save PDF")
	if pdf := v.downloaded(filepath.Join(dir, "check-built-tube-sheets.pdf")); !bytes.HasPrefix(pdf, []byte("%PDF-")) {
		t.Error("no PDF of the sheets")
	}
}
