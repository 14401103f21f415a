package main

import (
	"bufio"
	"context"
	"flag"
	"fmt"
	"io"
	"net/url"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"sync"
	"testing"
	"time"

	"github.com/chromedp/cdproto/cdp"
	"github.com/chromedp/cdproto/emulation"
	cdplog "github.com/chromedp/cdproto/log"
	"github.com/chromedp/cdproto/network"
	"github.com/chromedp/cdproto/runtime"
	"github.com/chromedp/chromedp"
)

// pictures is where the pictures of the page are written; none are taken without it.
var pictures = flag.String("pictures", "", "folder to write pictures of the page to")

// picturesOf is the job of the examples that pictures are taken of.
var picturesOf = flag.String("pictures-of", "under-bench-wedge.yaml", "job of the examples to take pictures of")

// shared is the browser of all tests, started by the first that wants it, and what ends it.
var shared struct {
	sync.Once
	ctx  context.Context
	stop func()
	err  error
}

// chromium gives the context of one browser for all tests, which are skipped without one; CI must have it. A test that
// looks at the page runs beside others: most of its time it waits.
func chromium(t *testing.T) context.Context {
	t.Helper()
	name, err := exec.LookPath("chromium")
	if err != nil {
		if os.Getenv("CI") == "true" {
			t.Fatal("chromium is missing: apt-get install --no-install-recommends chromium")
		}
		t.Skip("no chromium")
	}
	t.Parallel()
	shared.Do(func() {
		options := append(chromedp.DefaultExecAllocatorOptions[:],
			chromedp.ExecPath(name), chromedp.NoSandbox, chromedp.Flag("disable-component-update", true), chromedp.Flag("no-pings", true),
			chromedp.Flag("disable-domain-reliability", true), chromedp.Flag("use-gl", "angle"), chromedp.Flag("use-angle", "swiftshader"), chromedp.Flag("enable-unsafe-swiftshader", true))
		all, end := chromedp.NewExecAllocator(context.Background(), options...)
		ctx, cancel := chromedp.NewContext(all)
		shared.ctx, shared.stop, shared.err = ctx, func() { cancel(); end() }, chromedp.Do(ctx)
	})
	if shared.err != nil {
		t.Fatal(shared.err)
	}
	return shared.ctx
}

// closing ends what the tests share.
type closing struct{ *testing.M }

func (m closing) Run() int {
	code := m.M.Run()
	if shared.stop != nil {
		shared.stop()
	}
	return code
}

// folderOf copies the examples into a folder of the test's own.
func folderOf(t *testing.T) string {
	t.Helper()
	dir := t.TempDir()
	if err := os.CopyFS(dir, os.DirFS(filepath.Join("..", "..", "examples"))); err != nil {
		t.Fatal(err)
	}
	return dir
}

// served runs the command on a job and gives the address that it prints.
func served(t *testing.T, args ...string) string {
	t.Helper()
	ctx, stop := context.WithCancel(context.Background())
	in, out := io.Pipe()
	ended := make(chan int, 1)
	var errs strings.Builder
	go func() {
		ended <- run(ctx, append([]string{"page", "--no-open"}, args...), strings.NewReader(""), out, &errs)
	}()
	lines := bufio.NewScanner(in)
	if !lines.Scan() {
		stop()
		t.Fatal("no address was printed")
	}
	t.Cleanup(func() {
		stop()
		select {
		case code := <-ended:
			if code != exitDone {
				t.Errorf("ended with %d: %s", code, errs.String())
			}
		case <-time.After(10 * time.Second):
			t.Error("does not end")
		}
	})
	return lines.Text()
}

// A visitor is a tab with someone at it.
type visitor struct {
	*testing.T
	ctx   context.Context
	mu    sync.Mutex
	out   []string // requests that would leave the machine
	wrong []string // faults of the page's own
	own   int      // requests to the program
}

// visit opens an address in a new tab.
func visit(t *testing.T, browser context.Context, address string, width, height int64) *visitor {
	t.Helper()
	ctx, cancel := chromedp.NewContext(browser, chromedp.WithNewBrowserContext()) // as if it were another browser
	t.Cleanup(cancel)
	ctx, stop := context.WithTimeout(ctx, 8*time.Minute)
	t.Cleanup(stop)
	v := &visitor{T: t, ctx: ctx}
	var options []chromedp.EmulateViewportOption
	if width < 700 {
		options = append(options, chromedp.EmulateMobile, chromedp.EmulateTouch)
	}
	v.do(chromedp.EmulateViewport(width, height, options...), chromedp.Func(func(ctx context.Context, t *chromedp.Target) error {
		// Each tab is in front for itself, as on a machine of its own: one that is hidden draws nothing.
		_, err := cdp.Call(ctx, t, emulation.SetFocusEmulationEnabled, emulation.SetFocusEmulationEnabledParams{Enabled: true})
		return err
	}))
	if err := chromedp.Listen(ctx, v.watch); err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() {
		v.mu.Lock()
		defer v.mu.Unlock()
		if v.own == 0 {
			t.Error("requests are not seen")
		}
		for _, w := range v.wrong {
			t.Errorf("in the page: %s", w)
		}
		for _, u := range v.out {
			t.Errorf("a request for %s", u)
		}
	})
	v.do(chromedp.Navigate(address))
	v.until(`document.getElementById('app')?.dataset.ready === 'yes'`)
	return v
}

// watch notes requests to elsewhere.
func (v *visitor) watch(event any) {
	if x, ok := event.(*runtime.EventExceptionThrown); ok {
		v.mu.Lock()
		v.wrong = append(v.wrong, fmt.Sprint(x.ExceptionDetails.Text, " ", x.ExceptionDetails.Exception.Description, " ", x.ExceptionDetails.URL, ":", x.ExceptionDetails.LineNumber+1))
		v.mu.Unlock()
	}
	if x, ok := event.(*cdplog.EventEntryAdded); ok && x.Entry.Level == "error" {
		v.mu.Lock()
		v.wrong = append(v.wrong, x.Entry.Text+" "+x.Entry.URL)
		v.mu.Unlock()
	}
	e, ok := event.(*network.EventRequestWillBeSent)
	if !ok {
		return
	}
	u, err := url.Parse(e.Request.URL)
	if err == nil && (u.Scheme == "data" || u.Scheme == "blob" || u.Hostname() == "127.0.0.1") {
		v.mu.Lock()
		v.own++
		v.mu.Unlock()
		return
	}
	v.mu.Lock()
	v.out = append(v.out, e.Request.URL)
	v.mu.Unlock()
}

func (v *visitor) do(steps ...chromedp.Action[chromedp.Void]) {
	v.Helper()
	if err := chromedp.Do(v.ctx, steps...); err != nil {
		v.shot("failed")
		v.Fatal(err)
	}
}

// js evaluates an expression to a text.
func (v *visitor) js(format string, args ...any) string {
	v.Helper()
	s, err := chromedp.Run(v.ctx, chromedp.Evaluate[string]("String("+fmt.Sprintf(format, args...)+")"))
	if err != nil {
		v.Fatalf("%s: %v", format, err)
	}
	return s
}

// patience is how long a tab waits for one thing: long for a busy machine, since what is there is taken at once.
const patience = 2 * time.Minute

// until waits for an expression to be true.
func (v *visitor) until(format string, args ...any) {
	v.Helper()
	expression := fmt.Sprintf(format, args...)
	for end := time.Now().Add(patience); time.Now().Before(end); time.Sleep(30 * time.Millisecond) {
		if s, err := chromedp.Run(v.ctx, chromedp.Evaluate[bool]("!!("+expression+")")); err == nil && s {
			return
		}
	}
	v.shot("failed")
	v.Fatalf("never true: %s\nverdict: %s", expression, v.js(`document.querySelector('.verdict')?.innerText`))
}

// quiet waits until the newest answer is there.
func (v *visitor) quiet() {
	v.Helper()
	v.until(`cubby.job && !cubby.waiting`)
}

// fill types into the field of a path, as a person does.
func (v *visitor) fill(path, text string) {
	v.Helper()
	sel := chromedp.CSS(fmt.Sprintf(`input[data-path="%s"]`, path))
	v.until(`document.querySelector('input[data-path="%s"]')?.offsetParent`, path)
	v.do(chromedp.Click(sel), chromedp.SendKeys(sel, text+"\t"))
	v.quiet()
}

// press presses the first button with these words.
func (v *visitor) press(words string) {
	v.Helper()
	v.until(`[...document.querySelectorAll('button')].some((b) => b.innerText.replace(/\s+/g, ' ').trim().startsWith(%q) && b.offsetParent && !b.disabled)`, words)
	v.js(`[...document.querySelectorAll('button')].find((b) => b.innerText.replace(/\s+/g, ' ').trim().startsWith(%q) && b.offsetParent && !b.disabled).click()`, words)
}

// step opens a step.
func (v *visitor) step(no int) {
	v.Helper()
	v.until(`document.querySelectorAll('.stepname')[%d]`, no-1)
	v.js(`document.querySelectorAll('.stepname')[%d].click()`, no-1)
	v.until(`document.querySelectorAll('.stepname')[%d].getAttribute('aria-expanded') === 'true'`, no-1)
}

// inside holds that nothing stands out of the page to the right, which would make it scroll sideways.
func (v *visitor) inside(where string) {
	v.Helper()
	out := v.js(`[...document.querySelectorAll('body *')].filter((e) => e.getBoundingClientRect().right > document.documentElement.clientWidth + 1 && !e.closest('.labels, .u-wrap, .pins, .scroll')).slice(0, 4).map((e) => e.outerHTML.slice(0, 150) + ' ' + e.getBoundingClientRect().right).join('; ') + (document.documentElement.scrollWidth > document.documentElement.clientWidth ? ' scrolls by ' + document.documentElement.scrollWidth : '')`)
	if out != "" {
		v.Errorf("%s: stands out of the page: %s", where, out)
	}
}

// shot takes a picture of the whole page, if pictures are wanted.
func (v *visitor) shot(name string) {
	v.Helper()
	if *pictures == "" {
		return
	}
	time.Sleep(300 * time.Millisecond)
	data, err := chromedp.Run(v.ctx, chromedp.FullScreenshot(100))
	if err == nil {
		err = os.WriteFile(filepath.Join(*pictures, name+".png"), data, 0o666)
	}
	if err != nil {
		v.Logf("no picture %s: %v", name, err)
	}
}

// axe looks for what keeps a step from those who do not see or point; nothing serious may be found.
func (v *visitor) axe(where string) {
	v.Helper()
	if v.js(`typeof axe`) == "undefined" {
		source, err := os.ReadFile(filepath.Join("testdata", "axe-core", "axe.min.js"))
		if err != nil {
			v.Fatal(err)
		}
		if _, err := chromedp.Run(v.ctx, chromedp.Evaluate[string](string(source)+";''")); err != nil {
			v.Fatal(err)
		}
	}
	v.js(`(globalThis.found = null, axe.run(document, {resultTypes: ['violations']}).then((r) => (globalThis.found = r.violations.filter((x) => x.impact === 'serious' || x.impact === 'critical').map((x) => x.id + ': ' + x.nodes.slice(0, 3).map((n) => n.html.slice(0, 160) + ' ' + (n.any[0]?.message || '')).join(' | '))), (e) => (globalThis.found = [String(e)])), '')`)
	v.until(`globalThis.found`)
	if found := v.js(`globalThis.found.join('\n')`); found != "" {
		v.Errorf("%s: %s", where, found)
	}
}

// media has the browser say what its reader wishes: prefers-color-scheme and prefers-reduced-motion.
func (v *visitor) media(scheme, motion string) {
	v.Helper()
	v.do(chromedp.Func(func(ctx context.Context, t *chromedp.Target) error {
		_, err := cdp.Call(ctx, t, emulation.SetEmulatedMedia, emulation.SetEmulatedMediaParams{Features: []*emulation.MediaFeature{
			{Name: "prefers-color-scheme", Value: scheme}, {Name: "prefers-reduced-motion", Value: motion},
		}})
		return err
	}))
}

// onPaper holds that the open step is drawn anew for a sheet of paper, its view too, and as before after that.
func (v *visitor) onPaper() {
	v.Helper()
	v.until(`document.querySelector('.labels span')`)
	before := v.js(`document.querySelector('.stage').clientWidth`)
	v.js(`(dispatchEvent(new Event('beforeprint')), '')`)
	if colours := v.js(`(() => { const c = document.querySelector('.still'); return c.clientWidth + ' ' + new Set(new Uint32Array(c.getContext('2d').getImageData(0, 0, c.width, c.height).data.buffer)).size; })()`); !strings.HasPrefix(colours, "680 ") || len(colours) < len("680 10") {
		v.Errorf("the view on paper: width and colours %s", colours)
	}
	if v.js(`[...document.querySelectorAll('.page *')].every((e) => e.closest('.labels') || e.getBoundingClientRect().right <= 690)`) != "true" {
		v.Error("wider than the sheet of paper")
	}
	v.shot("paper")
	v.js(`(dispatchEvent(new Event('afterprint')), '')`)
	if after := v.js(`document.querySelector('.stage').clientWidth + (document.querySelector('.still, .unfolded') ? ' and what was for paper' : '')`); after != before {
		v.Errorf("after printing %s, before %s", after, before)
	}
}

// tour is where TestPageTour goes: the steps, and what each question beside the box is about.
var tour = []struct{ name, with string }{
	{"space", ""}, {"driver", ""}, {"amplifier", ""}, {"wood", ""}, {"wish", ""}, {"answer", ""},
	{"check", ""}, {"measured", "check-built-tube.csv"}, {"rank", "drivers/dibble-8.yaml drivers/furrow-10-flat.yaml"}, {"sheets", "cargo-floor-rectangle.yaml"},
}

// TestPageTour looks at every step, on a desk and on a phone, in light and in dark: nothing stands out of the page, and axe
// finds nothing serious. With -pictures it takes a picture of each.
func TestPageTour(t *testing.T) {
	browser := chromium(t)
	dir := folderOf(t)
	file := filepath.Join(dir, *picturesOf)
	text, err := os.ReadFile(file)
	if err != nil {
		t.Fatal(err)
	}
	if !strings.Contains(string(text), "\nbox:") { // one that could be bought
		text = append(text, "\nbox: {name: shelf box, kind: sealed, net_volume: 14 l, opening: 230 mm}\n"...)
		if err := os.WriteFile(file, text, 0o666); err != nil {
			t.Fatal(err)
		}
	}
	address := served(t, file)
	for _, size := range []struct {
		name, scheme, motion string
		width, height        int64
	}{{"desk", "light", "no-preference", 1440, 900}, {"phone", "dark", "reduce", 360, 780}, {"tablet", "light", "no-preference", 820, 1100}} {
		if size.name == "tablet" && *pictures == "" {
			continue // the same column as the phone's, wider
		}
		t.Run(size.name, func(t *testing.T) {
			t.Parallel()
			v := visit(t, browser, address, size.width, size.height)
			v.media(size.scheme, size.motion)
			v.until(`cubby.job && !cubby.waiting && cubby.design`)
			for i, step := range tour {
				v.step(i + 1)
				if step.with != "" {
					v.js(`(cubby.other[%q].with = %q.split(' '), '')`, step.name, step.with)
					v.step(1)
					v.step(i + 1)
					v.js(`document.querySelector('.body .lead')?.click()`)
					v.until(`(cubby.other[%q].answer || cubby.other[%q].failed) && !cubby.other[%q].waiting`, step.name, step.name, step.name)
				}
				v.until(`!cubby.other.check.waiting`)
				v.inside(size.name + " " + step.name)
				v.axe(size.name + " " + step.name)
				v.shot(size.name + "-" + step.name)
			}
			v.step(6)
			v.onPaper()
			if *pictures == "" {
				return
			}
			for words, name := range map[string]string{"Taken apart": "apart", "On the sheets": "layout"} {
				v.press(words)
				v.inside(size.name + " " + name)
				v.shot(size.name + "-" + name)
			}
		})
	}
}
