package web

import (
	"context"
	"time"

	"tracewright/models"
	"tracewright/models/words"
	"tracewright/server/httpx"
)

// fault is what is wrong, in the words that the shop had for it at a moment.
func (s *site) fault(code string, at time.Time) string {
	return s.services.Fault(context.Background(), code, at)
}

// faultNow is what is wrong, in the words that the shop has for it now.
func (s *site) faultNow(code string) string { return s.fault(code, s.services.Now()) }

// faultChoices are the codes of what can be wrong with an item of a kind, with
// other at the end; of any item where no kind is named.
func (s *site) faultChoices(kind string) []Choice {
	out := []Choice{{"", "choose what is wrong"}}
	book, now := s.services.Faults(context.Background()), s.services.Now()
	for _, code := range book.Choices(kind) {
		text := words.Sentence(httpx.FaultIn(book, code, now))
		if code != models.DefectOther {
			text += " (" + code + ")"
		}
		out = append(out, Choice{code, text})
	}
	return out
}
