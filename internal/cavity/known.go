package cavity

import (
	"context"
	"fmt"
	"slices"
	"sync"
)

// mostKnown is how many searches a Known keeps: an undo, the other of two boards, and one more.
const mostKnown = 4

// Known keeps the regions of the spaces that were searched last, for someone who asks again while the space stays as it is.
// It is ready as it stands, may be used at the same time by many, and nil is one that keeps nothing.
type Known struct {
	mu   sync.Mutex
	last []remembered // newest first
}

type remembered struct {
	of  string
	was Result
}

// Regions is [Room.Regions], not searched again when it is known. A search that its context has ended is not kept.
func (k *Known) Regions(ctx context.Context, r *Room, l Limits) (Result, error) {
	if k == nil {
		return r.Regions(ctx, l)
	}
	of := fmt.Sprintf("%+v %+v", *r.space, l)
	if found, ok := k.recall(of); ok {
		return found, ctx.Err()
	}
	found, err := r.Regions(ctx, l)
	if err == nil && ctx.Err() == nil {
		k.mu.Lock()
		k.last = slices.Insert(k.last[:min(len(k.last), mostKnown-1)], 0, remembered{of, found})
		k.mu.Unlock()
	}
	return found, err
}

// recall gives what is known, and counts it as the newest.
func (k *Known) recall(of string) (Result, bool) {
	k.mu.Lock()
	defer k.mu.Unlock()
	at := slices.IndexFunc(k.last, func(n remembered) bool { return n.of == of })
	if at < 0 {
		return Result{}, false
	}
	n := k.last[at]
	k.last = slices.Insert(slices.Delete(k.last, at, at+1), 0, n)
	return n.was, true
}
