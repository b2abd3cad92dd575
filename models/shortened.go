package models

// mostShown is how much of what somebody typed is said back.
const mostShown = 40

// Shortened is what somebody typed, as a problem or an error says it back.
//
//go:noinline
func Shortened(typed string) string {
	if letters := []rune(typed); len(letters) > mostShown {
		return string(letters[:mostShown]) + "..."
	}
	return typed
}
