package page

import (
	"context"
	"encoding/json"
	"errors"
	"mime"
	"net/http"
	"strconv"

	"cubby/internal/answer"
	"cubby/internal/job"
)

// A turn is the newest question of a tab.
type turn struct{ cancel context.CancelFunc }

// mostTabs is how many tabs are told apart; further ones only end their own questions.
const mostTabs = 64

// begin reads a request's question into q and takes a place for it, and ends what its tab asked before. When it gives false
// the request has been answered.
func (s *Server) begin(w http.ResponseWriter, r *http.Request, q any) (context.Context, func(), bool) {
	if !take(w, r, q) {
		return nil, nil, false
	}
	ctx, cancel := context.WithTimeout(r.Context(), longest)
	tab, mine := r.Header.Get("X-Tab"), &turn{cancel}
	s.mu.Lock()
	old := s.tabs[tab]
	if old != nil || len(s.tabs) < mostTabs && len(tab) <= 40 {
		s.tabs[tab] = mine
	}
	s.mu.Unlock()
	if old != nil {
		old.cancel()
	}
	done := func() {
		cancel()
		s.mu.Lock()
		if s.tabs[tab] == mine {
			delete(s.tabs, tab)
		}
		s.mu.Unlock()
	}
	select {
	case s.running <- struct{}{}:
		return ctx, func() { <-s.running; done() }, true
	case <-ctx.Done():
		done()
		refuse(w, http.StatusServiceUnavailable, "a newer question has come, or there are too many")
		return nil, nil, false
	}
}

// open reads the files that a job names, inside the folder.
func (s *Server) open(name string) ([]byte, error) {
	data, _, err := s.files.Read(name)
	return data, err
}

var _ job.Open = (*Server)(nil).open

// ask answers a question as a stream: one part of the answer a line, as soon as it is there.
func (s *Server) ask(w http.ResponseWriter, r *http.Request) {
	var q answer.Question
	ctx, done, ok := s.begin(w, r, &q)
	if !ok {
		return
	}
	defer done()
	w.Header().Set("Content-Type", "application/x-ndjson")
	lines, flush := json.NewEncoder(w), http.NewResponseController(w)
	err := s.engine.Ask(ctx, q, s.open, func(p answer.Part) error {
		if err := lines.Encode(p); err != nil {
			return err
		}
		_ = flush.Flush() // what cannot be sent early is sent at the end
		return nil
	})
	if errors.Is(err, context.DeadlineExceeded) {
		_ = lines.Encode(answer.FailedPart{Part: "failed", Text: "no answer within a minute: give the search less room, for example by limits.net_volume"})
	}
}

// document makes a document of a job and sends it as a file to keep.
func (s *Server) document(w http.ResponseWriter, r *http.Request) {
	var q struct {
		answer.Question
		Kind string `json:"kind"`
	}
	ctx, done, ok := s.begin(w, r, &q)
	if !ok {
		return
	}
	defer done()
	f, err := s.engine.File(ctx, q.Question, q.Kind, s.open)
	if err != nil {
		refuse(w, http.StatusUnprocessableEntity, err.Error())
		return
	}
	h := w.Header()
	h.Set("Content-Type", f.Type)
	h.Set("Content-Disposition", mime.FormatMediaType("attachment", map[string]string{"filename": f.Name}))
	h.Set("Content-Length", strconv.Itoa(len(f.Data)))
	_, _ = w.Write(f.Data) // a reader that has gone wants nothing more
}
