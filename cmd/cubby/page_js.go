//go:build js

package main

import (
	"context"
	"encoding/json"
	"io/fs"
	"syscall/js"

	"github.com/spf13/pflag"

	"cubby/internal/answer"
)

// pageCommand is the engine of a page that carries it along: it answers in the browser's worker what the server answers
// elsewhere.
func pageCommand() command {
	return command{
		name: "page", short: "the engine behind a page that has no server",
		flags: func(*pflag.FlagSet) action { return runWorker },
	}
}

// A request is one message of the page: a question, a document of it, or text to be read as a data sheet.
type request struct {
	answer.Question
	Kind  string            `json:"kind"`  // of a document
	Text  string            `json:"text"`  // the job's, or a data sheet's
	Files map[string]string `json:"files"` // of the folder that the browser keeps
}

// runWorker answers the messages {no, to, body} of the page, one after the other, by {no, part} and {no, done or
// error}.
func runWorker(ctx context.Context, _ terminal, _ []string) error {
	engine, scope, questions := newEngine(), js.Global(), make(chan js.Value, 64)
	take := js.FuncOf(func(_ js.Value, args []js.Value) any {
		questions <- args[0].Get("data")
		return nil
	})
	defer take.Release()
	scope.Set("onmessage", take)
	kinds, _ := json.Marshal(engine.Kinds()) // texts
	post := func(m map[string]any) { scope.Call("postMessage", m) }
	post(map[string]any{"ready": string(kinds), "version": engine.Version})
	for {
		select {
		case <-ctx.Done():
			return nil
		case m := <-questions:
			reply := func(key string, value any) { post(map[string]any{"no": m.Get("no"), key: value}) }
			if err := serveOne(ctx, engine, m.Get("to").String(), m.Get("body").String(), reply); err != nil {
				reply("error", err.Error())
			} else {
				reply("done", true)
			}
		}
	}
}

func serveOne(ctx context.Context, e *answer.Engine, to, body string, reply func(string, any)) error {
	var q request
	if err := json.Unmarshal([]byte(body), &q); err != nil {
		return err
	}
	q.Question.Text = q.Text
	part := func(v any) error {
		data, err := json.Marshal(v)
		reply("part", string(data))
		return err
	}
	open := func(name string) ([]byte, error) {
		if text, ok := q.Files[name]; ok {
			return []byte(text), nil
		}
		return nil, fs.ErrNotExist
	}
	switch to {
	case "ask":
		return e.Ask(ctx, q.Question, open, func(p answer.Part) error { return part(p) })
	case "paste":
		driver, remarks, err := e.Pasted(q.Text)
		if err != nil {
			return err
		}
		return part(map[string]any{"driver": driver, "remarks": remarks})
	}
	f, err := e.File(ctx, q.Question, q.Kind, open)
	if err != nil {
		return err
	}
	bytes := js.Global().Get("Uint8Array").New(len(f.Data))
	js.CopyBytesToJS(bytes, f.Data)
	reply("file", map[string]any{"name": f.Name, "type": f.Type, "data": bytes})
	return nil
}
