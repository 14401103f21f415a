package main

import (
	"bytes"
	"encoding/json"
	"flag"
	"fmt"
	"math"
	"net/http"
	"net/http/httptest"
	"path/filepath"
	"strings"
	"testing"
)

// site is the page without a server, as .ci/site has built it.
var site = flag.String("site", "", "folder of the page that was built without a server")

// TestPageTwin holds that the page which carries the engine along says what the command says, and goes on without a network.
func TestPageTwin(t *testing.T) {
	if *site == "" {
		t.Skip("no -site: .ci/site builds one")
	}
	server := httptest.NewServer(http.StripPrefix("/deep/down", http.FileServer(http.Dir(*site)))) // wherever it is put
	defer server.Close()
	tab := chromium(t)
	v := visit(t, tab, server.URL+"/deep/down/", 1440, 900)
	v.keep(t.TempDir())
	dir := filepath.Join("..", "..", "examples")
	names := []string{"cargo-floor-rectangle", "side-pocket-mitred", "under-bench-wedge", "second-row-slot", "stepped-load-bay"}
	if !*long {
		names = names[:2]
	}
	for _, name := range names {
		v.press("Jobs")
		v.press(name + ".yaml")
		v.until(`cubby.name === %q && cubby.design && !cubby.waiting`, name+".yaml")
		var out, errs bytes.Buffer
		run(t.Context(), []string{"design", filepath.Join(dir, name+".yaml"), "--json", "--out", filepath.Join(t.TempDir(), "x.pdf")}, strings.NewReader(""), &out, &errs)
		var page, command map[string]any
		if err := json.Unmarshal([]byte(v.js(`JSON.stringify(cubby.design)`)), &page); err != nil {
			t.Fatal(err)
		}
		if err := json.Unmarshal(out.Bytes(), &command); err != nil {
			t.Fatalf("%v: %s", err, errs.String())
		}
		for _, d := range []map[string]any{page, command} {
			delete(d, "job")
			delete(d, "version")
		}
		if where := differs("", page, command); where != "" {
			t.Errorf("%s: page and command differ at %s", name, where)
		}
		t.Logf("%s: answered in %s ms; engine ready %s ms after the page", name, v.js(`cubby.tookFirst.toFixed(0)`), v.js(`engineReady.toFixed(0)`))
	}
	server.Close() // from here on there is no network
	v.js(`(globalThis.before = true, location.reload())`)
	v.until(`!globalThis.before && document.getElementById('app')?.dataset.ready === 'yes' && globalThis.cubby`)
	v.press("cargo-floor-rectangle.yaml")
	v.until(`cubby.name === 'cargo-floor-rectangle.yaml' && cubby.design && !cubby.waiting`)
	v.step(1)
	v.fill("cavity.gap", "9")
	v.fill("cavity.gap", "11") // the newest wins
	v.until(`cubby.text === cubby.saved && cubby.text.includes('gap: 11') && cubby.design && !cubby.stale`)
	v.step(6)
	v.press("Save PDF")
	v.until(`cubby.told === 'cargo-floor-rectangle.pdf saved.'`)
	v.shot("twin")
}

// differs says where two JSON values are not the same; numbers may differ as much as other processors round.
func differs(at string, a, b any) string {
	rounding := 1e-9
	if strings.HasPrefix(at, ".size_tradeoff") {
		rounding = 0.01 // each point is the best of a flat top, which the last digit can move along
	}
	switch x := a.(type) {
	case map[string]any:
		y, ok := b.(map[string]any)
		if !ok || len(x) != len(y) {
			return at
		}
		for k := range x {
			if where := differs(at+"."+k, x[k], y[k]); where != "" {
				return where
			}
		}
		return ""
	case []any:
		y, ok := b.([]any)
		if !ok || len(x) != len(y) {
			return at
		}
		for i := range x {
			if where := differs(fmt.Sprintf("%s[%d]", at, i), x[i], y[i]); where != "" {
				return where
			}
		}
		return ""
	case float64:
		y, ok := b.(float64)
		if ok && math.Abs(x-y) <= rounding*math.Max(1, math.Abs(x)) {
			return ""
		}
	default:
		if a == b {
			return ""
		}
	}
	return fmt.Sprintf("%s: %v, %v", at, a, b)
}
