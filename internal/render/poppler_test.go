package render

import (
	"encoding/xml"
	"math"
	"strings"
	"testing"

	"cubby/internal/design"
)

// bboxWord is a word with its place as poppler reads it from the finished file, points.
type bboxWord struct {
	XMin float64 `xml:"xMin,attr"`
	YMin float64 `xml:"yMin,attr"`
	XMax float64 `xml:"xMax,attr"`
	YMax float64 `xml:"yMax,attr"`
	Text string  `xml:",chardata"`
}

type bboxPage struct {
	Width  float64    `xml:"width,attr"`
	Height float64    `xml:"height,attr"`
	Words  []bboxWord `xml:"word"`
}

// readWords lists the words of every page of a document.
func readWords(t *testing.T, data []byte) []bboxPage {
	t.Helper()
	out := run(t, "pdftotext", "-bbox", saved(t, data), "-")
	var doc struct {
		Pages []bboxPage `xml:"body>doc>page"`
	}
	dec := xml.NewDecoder(strings.NewReader(out))
	dec.Strict = false
	dec.Entity = xml.HTMLEntity
	if err := dec.Decode(&doc); err != nil {
		t.Fatal(err)
	}
	return doc.Pages
}

// agrees checks that the finished file holds every recorded text where the record says: so what the record proves (no overlaps,
// nothing off the page) holds for the file that is printed.
func agrees(t *testing.T, b *book, r *design.Result) {
	t.Helper()
	const close = 0.15 // mm; the document rounds widths to a thousandth of an em and places to 0.0035 mm
	data, err := b.pdf(r, Options{})
	if err != nil {
		t.Fatal(err)
	}
	pages := readWords(t, data)
	if len(pages) != len(b.sheets) {
		t.Fatalf("%d pages in the file, %d laid out", len(pages), len(b.sheets))
	}
	checked := 0
	for i, s := range b.sheets {
		if w := pages[i].Width * pointMM; math.Abs(w-s.W) > close {
			t.Errorf("page %d is %.1f mm wide, want %.1f", i+1, w, s.W)
		}
		depth := 0
		for _, o := range s.ops {
			switch o.kind {
			case opClip:
				depth++
			case opUnclip:
				depth--
			case opText:
				if o.style.Angle != 0 || depth > 0 || strings.TrimSpace(o.text) == "" {
					continue
				}
				checked++
				if !inFile(pages[i].Words, o, close) {
					t.Errorf("page %d: %q is not in the file at %.1f, %.1f mm", i+1, o.text, o.pts[0].X, o.pts[0].Y)
				}
			}
		}
	}
	if checked < 300 {
		t.Errorf("only %d texts were compared", checked)
	}
}

func TestFileAgreesWithTheRecord(t *testing.T) {
	for name, r := range map[string]*design.Result{"plain": wedgeResult(t), "awkward": awkward(wedgeResult(t))} {
		t.Run(name, func(t *testing.T) {
			b, err := layOut(r, Options{Paper: "letter"})
			if err != nil {
				t.Fatal(err)
			}
			agrees(t, b, r)
		})
	}
}

// inFile reports whether a text's left and right end are ends of words of the file on its line.
func inFile(words []bboxWord, o op, close float64) bool {
	box := boxOf(o.pts[0], o.text, o.style)
	text := strings.TrimSpace(o.text)
	left, right, base := box[0].X, box[1].X, o.pts[0].Y
	var starts, ends bool
	for _, w := range words {
		if w.YMin*pointMM > base || w.YMax*pointMM < base-0.3 {
			continue
		}
		starts = starts || math.Abs(w.XMin*pointMM-left) < close && text[0] == w.Text[0]
		ends = ends || math.Abs(w.XMax*pointMM-right) < close && text[len(text)-1] == w.Text[len(w.Text)-1]
	}
	return starts && ends
}
