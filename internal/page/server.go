package page

import (
	"embed"
	"encoding/json"
	"errors"
	"io"
	"io/fs"
	"mime"
	"net/http"
	"strings"
	"sync"
	"time"

	"cubby/internal/answer"
)

//go:embed assets
var assets embed.FS

// ErrChanged is what Files.Save gives when the file is not what it was when it was read.
var ErrChanged = errors.New("the file has changed meanwhile")

// Files are those of the job's folder, by names relative to it with slashes. None outside it may be opened, links included.
type Files interface {
	// List names the job, driver and catalogue files of the folder and the folders in it.
	List() ([]string, error)
	// Read gives a file and the mark of its content. The error is fs.ErrNotExist for one that is not there.
	Read(name string) (data []byte, mark string, err error)
	// Save puts a file in place whole, if what stands there still has the mark ("" for nothing), and gives its new mark.
	Save(name string, data []byte, mark string) (string, error)
}

// Options are what a page is served with.
type Options struct {
	Addr   string // loopback address and port that the page is served on, "127.0.0.1:41234"
	Token  string // secret of the address, at least 128 bits
	Job    string // name of the job's file in the folder; empty: the reader chooses
	Files  Files
	Engine *answer.Engine
}

// A Server answers the page's requests. Use New.
type Server struct {
	http.Handler
	port, token, job string
	files            Files
	engine           *answer.Engine
	running          chan struct{} // one place for each answer that is being worked on
	mu               sync.Mutex
	tabs             map[string]*turn
}

// atOnce is how many answers are worked on at a time; longest is how long one may take.
const (
	atOnce  = 2
	longest = 60 * time.Second
)

// New makes the handler of a page.
func New(o Options) *Server {
	s := &Server{
		token: o.Token, job: o.Job, files: o.Files, engine: o.Engine,
		running: make(chan struct{}, atOnce), tabs: map[string]*turn{},
	}
	s.port = o.Addr[strings.LastIndexByte(o.Addr, ':')+1:]
	m := http.NewServeMux()
	m.HandleFunc("GET /{$}", s.index)
	m.HandleFunc("GET /assets/", s.asset)
	m.HandleFunc("GET /api/start", s.start)
	m.HandleFunc("GET /api/file", s.read)
	m.HandleFunc("PUT /api/file", s.save)
	m.HandleFunc("POST /api/ask", s.ask)
	m.HandleFunc("POST /api/document", s.document)
	m.HandleFunc("POST /api/paste", s.paste)
	s.Handler = s.guard(m)
	return s
}

func (s *Server) index(w http.ResponseWriter, _ *http.Request) { serve(w, "assets/index.html") }

func (s *Server) asset(w http.ResponseWriter, r *http.Request) {
	serve(w, strings.TrimPrefix(r.URL.Path, "/"))
}

// serve writes an embedded file.
func serve(w http.ResponseWriter, name string) {
	data, err := assets.ReadFile(name)
	if err != nil {
		http.Error(w, "no such file", http.StatusNotFound)
		return
	}
	media := map[string]string{"js": "text/javascript", "css": "text/css", "html": "text/html"}[name[strings.LastIndexByte(name, '.')+1:]]
	if media == "" {
		media = "text/plain"
	}
	w.Header().Set("Content-Type", media+"; charset=utf-8")
	_, _ = w.Write(data) // a reader that has gone wants nothing more
}

// start says what there is: the folder's files, the job, the documents that can be made.
func (s *Server) start(w http.ResponseWriter, _ *http.Request) {
	names, err := s.files.List()
	if err != nil {
		refuse(w, http.StatusInternalServerError, err.Error())
		return
	}
	reply(w, map[string]any{"job": s.job, "files": names, "documents": s.engine.Kinds(), "version": s.engine.Version})
}

func (s *Server) read(w http.ResponseWriter, r *http.Request) {
	name := r.URL.Query().Get("name")
	if !jobName(name, ".yaml", ".yml") {
		refuse(w, http.StatusBadRequest, "not a name of a job in this folder")
		return
	}
	data, mark, err := s.files.Read(name)
	switch {
	case errors.Is(err, fs.ErrNotExist):
		reply(w, map[string]any{"text": "", "mark": "", "new": true})
	case err != nil:
		refuse(w, http.StatusUnprocessableEntity, err.Error())
	case r.URL.Query().Has("mark"): // only whether it has changed
		reply(w, map[string]any{"mark": mark})
	default:
		reply(w, map[string]any{"text": string(data), "mark": mark})
	}
}

func (s *Server) save(w http.ResponseWriter, r *http.Request) {
	var q struct{ Name, Text, Mark string }
	if !take(w, r, &q) {
		return
	}
	if !jobName(q.Name, ".yaml", ".yml") {
		refuse(w, http.StatusBadRequest, "a job's file is named like van.yaml, and stands in this folder")
		return
	}
	mark, err := s.files.Save(q.Name, []byte(q.Text), q.Mark)
	switch {
	case errors.Is(err, ErrChanged):
		refuse(w, http.StatusConflict, q.Name+" has been changed by another program or in another tab; nothing was overwritten")
	case err != nil:
		refuse(w, http.StatusUnprocessableEntity, err.Error())
	default:
		reply(w, map[string]any{"mark": mark})
	}
}

func (s *Server) paste(w http.ResponseWriter, r *http.Request) {
	var q struct{ Text string }
	if !take(w, r, &q) {
		return
	}
	value, remarks, err := s.engine.Pasted(q.Text)
	if err != nil {
		refuse(w, http.StatusUnprocessableEntity, err.Error())
		return
	}
	reply(w, map[string]any{"driver": value, "remarks": remarks})
}

// take reads a request's JSON body.
func take(w http.ResponseWriter, r *http.Request, to any) bool {
	if media, _, err := mime.ParseMediaType(r.Header.Get("Content-Type")); err != nil || media != "application/json" {
		refuse(w, http.StatusUnsupportedMediaType, "want JSON")
		return false
	}
	d := json.NewDecoder(r.Body)
	err := d.Decode(to)
	var large *http.MaxBytesError
	switch {
	case errors.As(err, &large):
		refuse(w, http.StatusRequestEntityTooLarge, "larger than any job")
	case err != nil || !errors.Is(d.Decode(&struct{}{}), io.EOF):
		refuse(w, http.StatusBadRequest, "not the JSON that is wanted here")
	default:
		return true
	}
	return false
}

func reply(w http.ResponseWriter, v any) {
	w.Header().Set("Content-Type", "application/json")
	_ = json.NewEncoder(w).Encode(v) // a reader that has gone wants nothing more
}

// refuse answers with a sentence for the reader.
func refuse(w http.ResponseWriter, status int, why string) {
	w.Header().Set("Content-Type", "application/json")
	w.WriteHeader(status)
	_ = json.NewEncoder(w).Encode(map[string]string{"error": why})
}
