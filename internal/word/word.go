// Package word has the few rules by which the program's sentences are put together: lists, counts, letters, and the word
// that was most likely meant.
//
//	word.go     lists, counts, letters
//	nearest.go  the word that was meant
package word

import (
	"strconv"
	"strings"
)

// List joins words for a sentence: "a, b and c". It is empty for no words.
func List(words []string) string { return joined(words, " and ") }

// Either joins words for a choice: "a, b or c". It is empty for no words.
func Either(words []string) string { return joined(words, " or ") }

func joined(words []string, last string) string {
	n := len(words)
	if n < 2 {
		return strings.Join(words, "")
	}
	return strings.Join(words[:n-1], ", ") + last + words[n-1]
}

// Count is a number of things: "1 sheet", "2 sheets", "3 boxes". one is a noun whose plural ends in s or es.
func Count(n int, one string) string { return strconv.Itoa(n) + " " + Plural(n, one) }

// Plural is a noun for so many: "sheet" for 1, else "sheets"; "boxes", "notches", "glasses".
func Plural(n int, one string) string {
	switch {
	case n == 1:
		return one
	case strings.HasSuffix(one, "s") || strings.HasSuffix(one, "x") || strings.HasSuffix(one, "ch") || strings.HasSuffix(one, "sh"):
		return one + "es"
	}
	return one + "s"
}

// small are the numbers that read better as words.
var small = [...]string{"no", "one", "two", "three", "four", "five", "six", "seven", "eight", "nine", "ten", "eleven", "twelve"}

// Few is Count with small numbers in words: "no braces", "one brace", "14 braces".
func Few(n int, one string) string {
	if n < 0 || n >= len(small) {
		return Count(n, one)
	}
	return small[n] + " " + Plural(n, one)
}

// Letters numbers things by letters: A for 0, Z for 25, then AA, AB and so on.
func Letters(n int) string {
	if n < 26 {
		return string(rune('A' + n))
	}
	return Letters(n/26-1) + Letters(n%26)
}
