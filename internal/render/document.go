package render

import (
	"bytes"
	"cmp"
	"errors"
	"fmt"
	"io"
	"strconv"
	"strings"
	"sync"
	"time"

	"github.com/jung-kurt/gofpdf"

	"cubby/internal/design"
	"cubby/internal/unit"
)

// Options choose what is printed and how.
type Options struct {
	Paper     string       // "letter" or "a4"; empty: letter for jobs in inches, else a4
	ShopOnly  bool         // part B alone
	Templates bool         // full-size openings with their bolts as well
	ShopUnits *unit.System // of part B; nil: the job's
	Created   string       // RFC 3339 date of the document, from the job or the environment; empty: the start of 1970
	Source    string       // name of the job file, without its folder, for "made from"
	Hash      string       // of the job file
	Version   string       // of the program
}

// Document writes the report of r as a PDF. Nothing is written unless the whole document could be made. A result without designs
// gives the summary alone, which says why. It returns an error for an unknown paper, for ShopOnly without a design, and whatever
// w returns.
func Document(w io.Writer, r *design.Result, o Options) error {
	b, err := layOut(r, o)
	return b.write(w, err)
}

// bound lays the pages of a job out and finishes them.
func bound(r *design.Result, o Options, lay func(b *book)) (b *book, err error) {
	defer guard(&err)
	p, err := paperOf(o.paper(r))
	if err != nil {
		return nil, err
	}
	b = &book{paper: p, job: r, options: o}
	lay(b)
	return b, b.finish(r, o)
}

// write prints a bound book; err is that of binding it. Nothing is written unless the whole document could be made.
func (b *book) write(w io.Writer, err error) error {
	if err != nil {
		return err
	}
	data, err := b.pdf(b.job, b.options)
	if err != nil {
		return fmt.Errorf("document: %w", err)
	}
	_, err = w.Write(data)
	return err
}

// finish sets heads and feet and reports the first page with a drawing at fault.
func (b *book) finish(r *design.Result, o Options) error {
	b.furnish(furnishing(r, o))
	for i, s := range b.sheets {
		if len(s.bad) > 0 {
			return fmt.Errorf("document: page %d (%s): %s", i+1, s.Title, s.bad[0])
		}
	}
	return nil
}

func furnishing(r *design.Result, o Options) furnished {
	sys := r.Request.Units
	if o.ShopUnits != nil {
		sys = *o.ShopUnits
	}
	return furnished{r.Request.Title, r.Request.Revision, r.Request.Date, measure{sys: sys}.words(), r.Request.Contact}
}

// layOut sets all pages.
func layOut(r *design.Result, o Options) (*book, error) {
	if r == nil || len(r.Designs) > 0 && r.Designs[0].Box == nil {
		return nil, errors.New("document: there is no design to print")
	}
	if len(r.Designs) == 0 && o.ShopOnly {
		return nil, errors.New("document: no box was found, so there is nothing for the shop to build")
	}
	var faults [2]error
	b, err := bound(r, o, func(b *book) {
		fitter, shop := &book{paper: b.paper}, &book{paper: b.paper}
		var parts sync.WaitGroup
		if !o.ShopOnly {
			parts.Go(func() {
				defer guard(&faults[0])
				fitterPages(fitter, r, o)
			})
		}
		if len(r.Designs) > 0 {
			parts.Go(func() {
				defer guard(&faults[1])
				shopPages(shop, r, o)
			})
		}
		parts.Wait()
		b.adopt(fitter, nil)
		b.adopt(shop, nil)
	})
	return b, cmp.Or(faults[0], faults[1], err)
}

// guard turns a panic of a library or of a drawing into an error: no input may end the program.
func guard(err *error) {
	if p := recover(); p != nil {
		*err = fmt.Errorf("document: could not be drawn: %v", p)
	}
}

// pdf writes the pages into a document.
func (b *book) pdf(r *design.Result, o Options) (data []byte, err error) {
	defer guard(&err)
	size := gofpdf.SizeType{Wd: b.paper.W, Ht: b.paper.H}
	f := gofpdf.NewCustom(&gofpdf.InitType{UnitStr: "mm", Size: size})
	f.SetAutoPageBreak(false, 0)
	f.SetMargins(0, 0, 0)
	f.SetCatalogSort(true)
	created := o.created()
	f.SetCreationDate(created)
	f.SetModificationDate(created)
	f.SetTitle(printable(r.Request.Title, regular), true)
	if r.Request.Author != "" {
		f.SetAuthor(printable(r.Request.Author, regular), true)
	}
	f.SetSubject("Loudspeaker enclosure: design report and workshop sheets", true)
	program := strings.TrimSpace("cubby " + o.Version)
	f.SetCreator(program, true)
	f.SetProducer(program, true)
	f.SetDisplayMode("fullpage", "single")
	fontsFor(f, b.sheets)
	last := b.paper.H
	if n := len(b.sheets); n > 0 {
		last = b.sheets[n-1].H
	}
	seen := map[part]bool{}
	for _, s := range b.sheets {
		orient := "P"
		if s.orientation() == landscape {
			orient = "L"
		}
		f.AddPageFormat(orient, size)
		f.SetLineCapStyle("butt")
		f.SetLineJoinStyle("miter")
		b.bookmark(f, s, seen, last)
		c := &pageCanvas{f: f}
		c.replay(s.ops)
	}
	var buf bytes.Buffer
	if err := f.Output(&buf); err != nil {
		return nil, err
	}
	return printAtFullSize(buf.Bytes()), nil
}

// bookmark marks the first page of each title, under its part. The library places every bookmark with the height of the last page;
// y makes up for that.
func (b *book) bookmark(f *gofpdf.Fpdf, s *sheet, seen map[part]bool, lastHeight float64) {
	f.SetFont(fontFamily, "", sizeBody) // bookmarks are written in Unicode only while such a font is in use
	y := lastHeight - s.H
	if !seen[s.Part] {
		seen[s.Part] = true
		f.Bookmark(printable(s.Part.String(), regular), 0, y)
	}
	if !s.Continued {
		f.Bookmark(printable(s.Title, regular), 1, y)
	}
	for _, j := range s.joined {
		f.Bookmark(printable(j.Title, regular), 1, y+j.Area.Y)
	}
}

// printAtFullSize asks viewers to print at 100 % and to show the title. The library cannot write viewer preferences, but its
// catalog is the last object before the cross-reference table, so that an insertion there moves nothing but the table itself.
func printAtFullSize(b []byte) []byte {
	const (
		at     = "/Type /Catalog\n"
		insert = "/ViewerPreferences <</PrintScaling /None /DisplayDocTitle true>>\n"
		tail   = "startxref\n"
	)
	i := bytes.LastIndex(b, []byte(at))
	j := bytes.LastIndex(b, []byte(tail))
	if i < 0 || j < i {
		return b
	}
	num := string(bytes.Fields(b[j+len(tail):])[0])
	xref, err := strconv.Atoi(num)
	if err != nil || xref < i {
		return b
	}
	i += len(at)
	out := make([]byte, 0, len(b)+len(insert)+8)
	out = append(out, b[:i]...)
	out = append(out, insert...)
	out = append(out, b[i:j]...)
	return append(out, fmt.Sprintf("%s%d\n%%%%EOF\n", tail, xref+len(insert))...)
}

func (o Options) created() time.Time {
	if t, err := time.Parse(time.RFC3339, o.Created); err == nil {
		return t.UTC()
	}
	if t, err := time.Parse(time.DateOnly, o.Created); err == nil {
		return t
	}
	return time.Unix(0, 0).UTC()
}

// paper is the paper that is printed on.
func (o Options) paper(r *design.Result) string {
	if o.Paper != "" {
		return o.Paper
	}
	if r.Request.Units == unit.Inch {
		return "letter"
	}
	return "a4"
}
