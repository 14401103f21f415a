package render

import (
	"os"
	"path/filepath"
	"strings"
	"testing"

	"cubby/internal/design"
)

// TestShopPagesKeepClear lays out part B of every case on both papers: no two texts overlap and nothing leaves the printable area.
func TestShopPagesKeepClear(t *testing.T) {
	for _, c := range shopCases() {
		r := shopResult(t, c)
		for _, paper := range []string{"letter", "a4"} {
			t.Run(c.name+" "+paper, func(t *testing.T) {
				b := shopBook(t, r, paper)
				if len(b.sheets) < 5 {
					t.Errorf("%d pages, want at least 5", len(b.sheets))
				}
				for _, f := range faultsOf(b) {
					t.Error(f)
				}
				keepShop(t, b, r, c.name+" "+paper)
			})
		}
	}
}

// keepShop writes the document where CUBBY_KEEP says, for looking at.
func keepShop(t *testing.T, b *book, r *design.Result, name string) {
	dir := os.Getenv("CUBBY_KEEP")
	if dir == "" {
		return
	}
	data, err := b.pdf(r, Options{Created: "2026-03-14T00:00:00Z"})
	if err != nil {
		t.Fatal(err)
	}
	if err := os.WriteFile(filepath.Join(dir, strings.ReplaceAll(name, " ", "-")+".pdf"), data, 0o600); err != nil {
		t.Fatal(err)
	}
}
