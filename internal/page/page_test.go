package page

import (
	"bytes"
	"context"
	"crypto/sha256"
	"encoding/hex"
	"encoding/json"
	"errors"
	"io/fs"
	"net/http"
	"net/http/httptest"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"sync"
	"testing"
	"time"

	"cubby/internal/answer"
)

// memory is a folder that is not on disk.
type memory struct {
	mu    sync.Mutex
	files map[string]string
	asked []string // names that were opened or written
}

func (m *memory) List() ([]string, error) { return []string{"van.yaml"}, nil }

func (m *memory) Read(name string) ([]byte, string, error) {
	m.mu.Lock()
	defer m.mu.Unlock()
	m.asked = append(m.asked, name)
	text, ok := m.files[name]
	if !ok {
		return nil, "", fs.ErrNotExist
	}
	return []byte(text), text, nil
}

func (m *memory) Save(name string, data []byte, mark string) (string, error) {
	m.mu.Lock()
	defer m.mu.Unlock()
	m.asked = append(m.asked, name)
	if m.files[name] != mark {
		return "", ErrChanged
	}
	m.files[name] = string(data)
	return string(data), nil
}

const token = "correct-horse"

func newServer(t testing.TB) (*Server, *memory) {
	t.Helper()
	data, err := os.ReadFile(filepath.Join("..", "job", "starter-mm.yaml"))
	if err != nil {
		t.Fatal(err)
	}
	m := &memory{files: map[string]string{"van.yaml": string(data)}}
	return New(Options{Addr: "127.0.0.1:4711", Token: token, Job: "van.yaml", Files: m, Engine: &answer.Engine{}}), m
}

// request makes one as the page makes it; each change takes something away from that.
func request(method, target, body string, changes ...func(*http.Request)) *http.Request {
	r := httptest.NewRequest(method, "http://127.0.0.1:4711"+target, strings.NewReader(body))
	r.AddCookie(&http.Cookie{Name: "cubby-4711", Value: token})
	if method != http.MethodGet {
		r.Header.Set("Origin", "http://127.0.0.1:4711")
		r.Header.Set("Content-Type", "application/json")
	}
	for _, c := range changes {
		c(r)
	}
	return r
}

func header(key, value string) func(*http.Request) {
	return func(r *http.Request) { r.Header.Set(key, value) }
}

func TestRefused(t *testing.T) {
	host := func(h string) func(*http.Request) { return func(r *http.Request) { r.Host = h } }
	large := `{"text":"` + strings.Repeat("x", mostBody) + `"}`
	for _, c := range []struct {
		name   string
		r      *http.Request
		status int
	}{
		{"the page itself", request("GET", "/", ""), 200},
		{"an asset", request("GET", "/assets/app.js", ""), 200},
		{"another host, by a name that leads here", request("GET", "/", "", host("evil.example:4711")), 421},
		{"another port", request("GET", "/", "", host("127.0.0.1:80")), 421},
		{"no port", request("GET", "/", "", host("127.0.0.1")), 421},
		{"localhost", request("GET", "/", "", host("localhost:4711")), 200},
		{"another origin", request("POST", "/api/ask", "{}", header("Origin", "http://evil.example")), 403},
		{"an origin of another port", request("POST", "/api/ask", "{}", header("Origin", "http://127.0.0.1:80")), 403},
		{"a secret origin", request("POST", "/api/ask", "{}", header("Origin", "null")), 403},
		{"no origin where something is done", request("POST", "/api/ask", "{}", func(r *http.Request) { r.Header.Del("Origin") }), 403},
		{"from another site", request("GET", "/api/start", "", header("Sec-Fetch-Site", "cross-site")), 403},
		{"from another port of this site", request("GET", "/api/start", "", header("Sec-Fetch-Site", "same-site")), 403},
		{"no cookie", request("GET", "/", "", func(r *http.Request) { r.Header.Del("Cookie") }), 403},
		{"a wrong cookie", request("GET", "/", "", header("Cookie", "cubby-4711=guess")), 403},
		{"the cookie of another port", request("GET", "/", "", header("Cookie", "cubby-1="+token)), 403},
		{"no cookie for an asset", request("GET", "/assets/app.js", "", func(r *http.Request) { r.Header.Del("Cookie") }), 403},
		{"a wrong token", request("GET", "/?t=guess", ""), 403},
		{"an empty token", request("GET", "/?t=", ""), 403},
		{"the token", request("GET", "/?t="+token, "", func(r *http.Request) { r.Header.Del("Cookie") }), 200},
		{"the token somewhere else", request("GET", "/api/start?t="+token, "", func(r *http.Request) { r.Header.Del("Cookie") }), 403},
		{"a job", request("GET", "/api/file?name=van.yaml", ""), 200},
		{"a job above", request("GET", "/api/file?name=../van.yaml", ""), 400},
		{"a job above, hidden", request("GET", "/api/file?name=x/../../van.yaml", ""), 400},
		{"an absolute name", request("GET", "/api/file?name=/etc/van.yaml", ""), 400},
		{"a drive", request("GET", "/api/file?name=C:van.yaml", ""), 400},
		{"a backslash", request("GET", `/api/file?name=..%5Cvan.yaml`, ""), 400},
		{"a hidden file", request("GET", "/api/file?name=.van.yaml", ""), 400},
		{"a hidden folder", request("GET", "/api/file?name=.git/van.yaml", ""), 400},
		{"another kind of file", request("GET", "/api/file?name=passwd", ""), 400},
		{"a zero byte", request("GET", "/api/file?name=a%00.yaml", ""), 400},
		{"an asset above", request("GET", "/assets/../server.go", ""), 307},
		{"an asset that is not there", request("GET", "/assets/none.js", ""), 404},
		{"a save", request("PUT", "/api/file", `{"name":"new.yaml","text":"units: mm\n","mark":""}`), 200},
		{"a save over what has changed", request("PUT", "/api/file", `{"name":"van.yaml","text":"a: 1\n","mark":"old"}`), 409},
		{"a save above", request("PUT", "/api/file", `{"name":"../new.yaml","text":"","mark":""}`), 400},
		{"a save of a program", request("PUT", "/api/file", `{"name":"new.sh","text":"","mark":""}`), 400},
		{"a body that is too large", request("POST", "/api/ask", large), 413},
		{"a form", request("POST", "/api/ask", "{}", header("Content-Type", "text/plain")), 415},
		{"no JSON", request("POST", "/api/ask", "{"), 400},
		{"two JSONs", request("POST", "/api/ask", "{}{}"), 400},
		{"another method", request("DELETE", "/api/file", "{}"), 405},
		{"an unknown document", request("POST", "/api/document", `{"name":"van.yaml","text":"a: 1","kind":"exe"}`), 422},
	} {
		t.Run(c.name, func(t *testing.T) {
			s, m := newServer(t)
			w := httptest.NewRecorder()
			s.ServeHTTP(w, c.r)
			if w.Code != c.status {
				t.Errorf("status %d, want %d: %.200s", w.Code, c.status, w.Body)
			}
			if !strings.Contains(w.Header().Get("Content-Security-Policy"), "script-src 'self';") {
				t.Error("no policy")
			}
			if c.status >= 400 && c.status != 409 && c.status != 422 && len(m.asked) > 0 {
				t.Errorf("files were touched: %q", m.asked)
			}
			if c.status >= 400 && strings.Contains(w.Body.String(), token) {
				t.Error("the token is told")
			}
		})
	}
}

func TestCookie(t *testing.T) {
	s, _ := newServer(t)
	w := httptest.NewRecorder()
	s.ServeHTTP(w, request("GET", "/?t="+token, "", func(r *http.Request) { r.Header.Del("Cookie") }))
	c := w.Result().Cookies()
	if len(c) != 1 || c[0].Value != token || !c[0].HttpOnly || c[0].SameSite != http.SameSiteStrictMode || c[0].Domain != "" {
		t.Errorf("cookies %+v", c)
	}
}

// TestFilesOfJobs holds that a job names files beside it and below, and no others.
func TestFilesOfJobs(t *testing.T) {
	s, m := newServer(t)
	for _, c := range []struct{ driver, asked string }{{"../../etc/passwd", ""}, {"/etc/passwd", ""}, {"drivers/x.yaml", "sub/drivers/x.yaml"}} {
		m.asked = nil
		w := httptest.NewRecorder()
		s.ServeHTTP(w, request("POST", "/api/ask", `{"name":"sub/van.yaml","text":"units: mm\ndriver: `+c.driver+`\n","brief":true}`))
		if asked := strings.Join(slices.Compact(m.asked), " "); asked != c.asked || !strings.Contains(w.Body.String(), "cannot be read") {
			t.Errorf("%s: asked for %q: %s", c.driver, asked, w.Body)
		}
	}
}

// parts reads the lines of an answer.
func parts(t *testing.T, body []byte) []map[string]any {
	t.Helper()
	var all []map[string]any
	for line := range bytes.Lines(body) {
		var p map[string]any
		if err := json.Unmarshal(line, &p); err != nil {
			t.Fatalf("%v: %.200s", err, line)
		}
		all = append(all, p)
	}
	return all
}

func TestAsk(t *testing.T) {
	s, m := newServer(t)
	body, _ := json.Marshal(map[string]any{"name": "van.yaml", "text": m.files["van.yaml"], "edits": []any{map[string]any{"op": "set", "path": "cavity.gap", "value": "9"}}})
	w := httptest.NewRecorder()
	s.ServeHTTP(w, request("POST", "/api/ask", string(body)))
	all := parts(t, w.Body.Bytes())
	if len(all) != 5 || all[0]["part"] != "job" || all[1]["part"] != "design" || all[4]["part"] != "curves" {
		t.Fatalf("%d parts: %.300s", len(all), w.Body)
	}
	if text := all[0]["text"].(string); text != strings.Replace(m.files["van.yaml"], "gap: 8 ", "gap: 9 ", 1) {
		t.Error("more than the gap has changed")
	}
	if n := len(all[1]["design"].(map[string]any)["designs"].([]any)); n == 0 {
		t.Error("no design")
	}
}

// TestNewestWins holds that a newer question of the same tab ends the older one, and that one of another tab does not.
func TestNewestWins(t *testing.T) {
	s, _ := newServer(t)
	begin := func(tab string) (context.Context, func(), bool) {
		return s.begin(httptest.NewRecorder(), request("POST", "/api/ask", "{}", header("X-Tab", tab)), &struct{}{})
	}
	one, endOne, _ := begin("a")
	other, endOther, _ := begin("b")
	waiting := make(chan bool)
	go func() { // waits for a place: two are taken
		_, end, ok := begin("a")
		if ok {
			end()
		}
		waiting <- ok
	}()
	select {
	case <-one.Done():
	case <-time.After(5 * time.Second):
		t.Fatal("the older question goes on")
	}
	if other.Err() != nil {
		t.Error("another tab's question was ended")
	}
	endOther()
	if !<-waiting {
		t.Error("the newer question got no place")
	}
	endOne()
	if len(s.tabs) > 0 {
		t.Errorf("%d tabs are remembered", len(s.tabs))
	}
}

// TestGone holds that a reader who goes away ends the work.
func TestGone(t *testing.T) {
	s, m := newServer(t)
	ctx, cancel := context.WithCancel(context.Background())
	cancel()
	err := s.engine.Ask(ctx, answer.Question{Name: "van.yaml", Text: m.files["van.yaml"]}, s.open, func(answer.Part) error { return nil })
	if !errors.Is(err, context.Canceled) {
		t.Errorf("ended with %v", err)
	}
}

// TestVendored holds that vendored files are those that were checked in, with their licences.
func TestVendored(t *testing.T) {
	list, err := assets.ReadFile("assets/vendor/VENDORED.txt")
	if err != nil {
		t.Fatal(err)
	}
	entries, _ := assets.ReadDir("assets/vendor")
	for _, e := range entries {
		data, _ := assets.ReadFile("assets/vendor/" + e.Name())
		if strings.HasSuffix(e.Name(), ".txt") {
			continue
		}
		sum := sha256.Sum256(data)
		if !strings.Contains(string(list), hex.EncodeToString(sum[:])+"  "+e.Name()) {
			t.Errorf("%s is not as listed", e.Name())
		}
	}
	for _, l := range []string{"three-LICENSE.txt", "uplot-LICENSE.txt"} {
		if data, err := assets.ReadFile("assets/vendor/" + l); err != nil || !strings.Contains(string(data), "MIT") {
			t.Errorf("%s: %v", l, err)
		}
	}
}

// TestAssets holds that the page's own files load nothing from elsewhere and hold no script in the page.
func TestAssets(t *testing.T) {
	entries, err := assets.ReadDir("assets")
	if err != nil || len(entries) < 10 {
		t.Fatalf("%d assets, %v", len(entries), err)
	}
	for _, e := range entries {
		if e.IsDir() {
			continue
		}
		data, _ := assets.ReadFile("assets/" + e.Name())
		for _, bad := range []string{"http://", "https://", "eval(", "innerHTML", "javascript:", "onclick=\""} {
			if text := strings.ReplaceAll(string(data), "http://www.w3.org/2000/svg", ""); strings.Contains(text, bad) {
				t.Errorf("%s holds %q", e.Name(), bad)
			}
		}
	}
}

func FuzzHandlers(f *testing.F) {
	f.Add("POST", "/api/ask", `{"name":"van.yaml","text":"units: mm\n","brief":true,"edits":[{"op":"set","path":"cavity.width","value":"4"}]}`, "127.0.0.1:4711", "a")
	f.Add("PUT", "/api/file", `{"name":"a.yaml","text":"x","mark":""}`, "localhost:4711", "")
	f.Add("POST", "/api/paste", `{"text":"fs: 30 Hz"}`, "[::1]:4711", "b")
	f.Add("GET", "/api/file?name=%2e%2e", "", "evil", "")
	f.Add("GET", "/?t=", "", "127.0.0.1:4711", "")
	s, m := newServer(f)
	f.Fuzz(func(t *testing.T, method, target, body, host, tab string) {
		if strings.Contains(body, "\"driver\"") || len(body) > 4096 {
			return // whole designs take too long here
		}
		r, err := http.NewRequest(method, "http://127.0.0.1:4711/", strings.NewReader(body))
		if err != nil {
			return
		}
		u, err := r.URL.Parse(target)
		if err != nil {
			return
		}
		r.URL, r.Host = u, host
		r.Header.Set("X-Tab", tab)
		r.Header.Set("Content-Type", "application/json")
		r.Header.Set("Origin", "http://"+host)
		r.AddCookie(&http.Cookie{Name: "cubby-4711", Value: token})
		w := httptest.NewRecorder()
		s.ServeHTTP(w, r)
		if w.Code >= 500 {
			t.Errorf("%s %q: %d %.200s", method, target, w.Code, w.Body)
		}
		for _, name := range m.asked {
			if !fs.ValidPath(name) && !strings.Contains(body, "driver") && !strings.Contains(body, "measured") {
				t.Errorf("asked for %q", name)
			}
		}
		m.asked = nil
	})
}
