package page

import (
	"crypto/subtle"
	"net/http"
	"net/url"
	"strings"
)

// policy is what the page may load and do: its own files, nothing else. Sizes of drawings are set by script.
const policy = "default-src 'none'; script-src 'self'; style-src 'self'; img-src 'self' data: blob:; connect-src 'self'; " +
	"worker-src 'self'; base-uri 'none'; form-action 'none'; frame-ancestors 'none'"

// mostBody is the size of the largest request, in bytes: a job of 1 MiB as JSON, where each byte may take two, and its edits.
const mostBody = 3 << 20

// guard lets through who knows the token and asks from this machine by one of its own names. A page of another site that
// is made to look like this address (by a name that leads here) sends another Host; one that posts here sends another
// Origin; neither has the cookie, which browsers send to requests of the same site alone.
func (s *Server) guard(next http.Handler) http.Handler {
	return http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) {
		h := w.Header()
		h.Set("Content-Security-Policy", policy)
		h.Set("X-Content-Type-Options", "nosniff")
		h.Set("Referrer-Policy", "no-referrer")
		h.Set("Cross-Origin-Opener-Policy", "same-origin")
		h.Set("Cross-Origin-Resource-Policy", "same-origin")
		h.Set("Cache-Control", "no-store")
		switch {
		case !s.ownHost(r.Host):
			http.Error(w, "this address is not known by that name", http.StatusMisdirectedRequest)
			return
		case !s.ownOrigin(r):
			http.Error(w, "requests from other pages are refused", http.StatusForbidden)
			return
		case r.URL.Path == "/" && r.Method == http.MethodGet && r.URL.Query().Has("t"):
			s.enter(w, r)
			return
		case !s.known(r):
			http.Error(w, "open the address that cubby printed: it has the key to this page", http.StatusForbidden)
			return
		}
		r.Body = http.MaxBytesReader(w, r.Body, mostBody)
		next.ServeHTTP(w, r)
	})
}

// ownHost reports whether a request names this server: its loopback address or localhost, with its port.
func (s *Server) ownHost(host string) bool {
	for _, name := range []string{"127.0.0.1", "localhost", "[::1]"} {
		if host == name+":"+s.port {
			return true
		}
	}
	return false
}

// ownOrigin reports whether a request comes from this page or straight from its reader. What changes or computes something
// must say that it comes from this page.
func (s *Server) ownOrigin(r *http.Request) bool {
	if site := r.Header.Get("Sec-Fetch-Site"); site != "" && site != "same-origin" && site != "none" {
		return site == "cross-site" && r.Method == http.MethodGet && r.URL.Path == "/" && r.URL.Query().Has("t") &&
			r.Header.Get("Sec-Fetch-Mode") == "navigate" && r.Header.Get("Origin") == ""
	}
	origin := r.Header.Get("Origin")
	if origin == "" {
		return r.Method == http.MethodGet || r.Method == http.MethodHead
	}
	u, err := url.Parse(origin)
	return err == nil && u.Scheme == "http" && u.Host == r.Host
}

// cookie is the name of the cookie: browsers do not tell ports apart.
func (s *Server) cookie() string { return "cubby-" + s.port }

// enter turns the token in the address into a cookie and takes it out of the address.
func (s *Server) enter(w http.ResponseWriter, r *http.Request) {
	if !s.right(r.URL.Query().Get("t")) {
		http.Error(w, "this address is from an earlier run: open the one that cubby printed last", http.StatusForbidden)
		return
	}
	http.SetCookie(w, &http.Cookie{Name: s.cookie(), Value: s.token, Path: "/", HttpOnly: true, SameSite: http.SameSiteStrictMode})
	// A page of its own instead of a redirect: a strict cookie does not go along with one that began elsewhere.
	w.Header().Set("Content-Type", "text/html; charset=utf-8")
	w.Header().Set("Refresh", "0; url=/")
	if _, err := w.Write([]byte("<!doctype html><title>cubby</title><link rel=\"icon\" href=\"data:,\"><p><a href=\"/\">Open the page</a></p>\n")); err != nil {
		return // the reader has gone
	}
}

func (s *Server) known(r *http.Request) bool {
	c, err := r.Cookie(s.cookie())
	return err == nil && s.right(c.Value)
}

func (s *Server) right(token string) bool {
	return subtle.ConstantTimeCompare([]byte(token), []byte(s.token)) == 1
}

// jobName reports whether a name may be that of a file of the job's folder: relative, plain, a job or a table.
func jobName(name string, endings ...string) bool {
	if name == "" || len(name) > 200 || strings.ContainsAny(name, "\\:\x00") || strings.HasPrefix(name, "/") {
		return false
	}
	for part := range strings.SplitSeq(name, "/") {
		if part == "" || strings.HasPrefix(part, ".") {
			return false
		}
	}
	for _, e := range endings {
		if strings.HasSuffix(name, e) {
			return true
		}
	}
	return false
}
