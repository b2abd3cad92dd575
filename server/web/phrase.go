package web

import (
	"fmt"
	"net/url"
	"strings"

	"tracewright/models"
	"tracewright/models/words"
)

// plural is a count with its word: "1 wheel", "3 wheels".
//
//go:noinline
func plural(n int, one, many string) string {
	if n == 1 {
		return "1 " + one
	}
	return words.Thousands(n) + " " + many
}

// counted is a count with its word at the start of a sentence: "Three wheels".
func counted(n int, one, many string) string { return words.Sentence(counting(n, one, many)) }

// counting is one within a sentence.
func counting(n int, one, many string) string {
	if n == 1 {
		return "one " + one
	}
	return spelled(n) + " " + many
}

// spelled is a small number as a word, where a sentence tells it.
func spelled(n int) string {
	small := []string{"no", "one", "two", "three", "four", "five", "six", "seven", "eight", "nine", "ten", "eleven", "twelve"}
	if n >= 0 && n < len(small) {
		return small[n]
	}
	return words.Thousands(n)
}

// inDays says when a day comes: "today", "tomorrow", "in 9 days".
func inDays(days int) string {
	switch days {
	case 0:
		return "today"
	case 1:
		return "tomorrow"
	}
	return fmt.Sprintf("in %d days", days)
}

// itemPath is the address of an item's page: by its serial where it has one.
func itemPath(serial, id string) string {
	if serial != "" {
		return "/items/" + url.PathEscape(serial)
	}
	return "/items/" + url.PathEscape(id)
}

// lotPath is where a lot went.
func lotPath(code string) string { return "/lots/" + url.PathEscape(code) }

// recordPath is where items of a kind are measured.
func recordPath(kind string) string {
	if kind == models.KindPack || kind == models.KindBlock {
		return "/bench"
	}
	return "/stand"
}

// stopped ends what somebody typed with one full stop, so that a sentence can
// follow it.
func stopped(typed string) string {
	typed = strings.TrimSpace(typed)
	if typed == "" || strings.ContainsAny(typed[len(typed)-1:], ".!?") {
		return typed
	}
	return typed + "."
}
