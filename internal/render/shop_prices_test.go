package render

import (
	"strings"
	"testing"

	"cubby/internal/design"
)

// Prices of the job stand in the bill, and only those of items that the box needs count: 6.50 + 4.00 of a sealed box, not its port.
func TestPricesOfTheBill(t *testing.T) {
	r := shopResult(t, shopCases()[0])
	r.Request.Prices = map[design.Item]float64{design.Screws: 6.5, design.Glue: 4, design.PortTube: 99}
	r.Designs[0].Sheets.Cost = 40
	var all []string
	for _, s := range shopBook(t, r, "a4").sheets {
		for _, o := range s.ops {
			all = append(all, o.text)
		}
	}
	text := strings.Join(all, "\n")
	for _, want := range []string{"6.50", "4.00", "10.50", "50.50"} {
		if !strings.Contains(text, want) {
			t.Errorf("%s is not printed", want)
		}
	}
	if strings.Contains(text, "99.00") {
		t.Error("an item that the box has not got is priced")
	}
}
