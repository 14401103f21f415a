package design

import (
	"context"
	"fmt"
	"slices"
)

// tellLostWishes says with the best design that a wish which speaks of one kind of box is not kept, when no box of that kind
// can be built with it and one of the other kind is offered in its place.
func (h *hunt) tellLostWishes(ctx context.Context, res *Result) error {
	if len(res.Designs) == 0 {
		return nil
	}
	l := h.req.Limits
	h.tellIdleWishes(&res.Designs[0])
	for _, o := range res.Outcomes {
		if o.Status != "impossible" {
			continue
		}
		wish, key := "", ""
		switch {
		case o.Kind == Vented && l.Tuning[0] > 0:
			wish, key = "a tuning of "+wished(l.Tuning, "%.1f", " Hz"), "tuning"
		case o.Kind == Sealed && l.Qtc[0] > 0 && l.Qtc[0] == l.Qtc[1]:
			wish, key = "a Qtc of "+wished(l.Qtc, "%.2f", ""), "qtc"
		default:
			continue
		}
		without := ""
		if o.Kind == Vented {
			d, err := h.withoutTuning(ctx)
			if err != nil {
				return err
			}
			without = "; nor can any vented box without the wish"
			if d != nil {
				without = fmt.Sprintf("; without the wish the best vented box is one of %s, tuned to %.1f Hz", h.volume(d.Box.NetVolume), d.Figures.Fb)
			}
		}
		best := &res.Designs[0]
		best.VerdictText += fmt.Sprintf(" The wish for %s is not kept: no %s box with it can be built.", wish, o.Kind)
		best.Warnings = append([]string{fmt.Sprintf("no %s box with %s (limits.%s) can be built: %s%s. To have no other kind offered, say consider: [%s]",
			o.Kind, wish, key, o.Reason, without, o.Kind)}, best.Warnings...)
	}
	return nil
}

// tellIdleWishes says of a wish for a kind of box that the job does not consider that nothing comes of it.
func (h *hunt) tellIdleWishes(best *Design) {
	l := h.req.Limits
	for _, w := range []struct {
		kind Kind
		key  string
		said bool
	}{{Vented, "tuning", l.Tuning[0] > 0}, {Sealed, "qtc", l.Qtc[0] > 0}} {
		if w.said && !slices.Contains(h.req.Kinds, w.kind) {
			best.Warnings = append(best.Warnings, fmt.Sprintf("limits.%s speaks of %s boxes alone, and consider names none: nothing comes of it", w.key, w.kind))
		}
	}
}

// wished writes a wish: one value, or the least and the most.
func wished(v [2]float64, format, unitName string) string {
	if v[0] == v[1] {
		return fmt.Sprintf(format, v[0]) + unitName
	}
	return fmt.Sprintf(format+" to "+format, v[0], v[1]) + unitName
}

// withoutTuning is the best vented box for the job without its wish for a tuning; nil when there is none either.
func (h *hunt) withoutTuning(ctx context.Context) (*Design, error) {
	p, req := *h.plant, *h.req
	req.Limits.Tuning = [2]float64{}
	p.req = &req
	free := newHunt(&p, h.rooms[:h.given], nil)
	free.leastLow = h.leastLow
	d, _, err := free.find(ctx, Vented, nil)
	if d != nil && d.Verdict == DoesNotSuit {
		d = nil
	}
	return d, err
}
