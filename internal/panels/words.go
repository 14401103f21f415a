package panels

import "fmt"

// counted gives a number of things in words: "one tube", "two tubes", "14 tubes".
func counted(n int, one string) string {
	words := [...]string{"no", "one", "two", "three", "four", "five", "six", "seven", "eight", "nine", "ten", "eleven", "twelve"}
	word := fmt.Sprint(n)
	if n >= 0 && n < len(words) {
		word = words[n]
	}
	if n == 1 {
		return word + " " + one
	}
	return word + " " + one + "s"
}

// list joins words with commas.
func list(words []string) string {
	s := ""
	for i, w := range words {
		if i > 0 {
			s += ", "
		}
		s += w
	}
	return s
}
