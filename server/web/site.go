package web

import (
	"context"
	"time"

	"github.com/gin-gonic/gin"

	"tracewright/models"
	"tracewright/models/words"
	"tracewright/server/httpx"
)

// site is what the handlers of all pages share.
type site struct {
	services httpx.Services
}

// frame is what the layout draws around a page: tab is the browser's title,
// here the menu entry the page belongs to.
func (s *site) frame(c *gin.Context, tab, here string) Frame {
	return Frame{Tab: tab, Here: here, Actor: httpx.Actor(c), Done: doneWords[c.Query("done")], Trouble: troubleWords(c), Idle: int(s.services.Sessions.Idle(c.Request.Context()).Minutes())}
}

// troubleWords say why something could not be stored just now.
func troubleWords(c *gin.Context) string {
	code := httpx.Trouble(c)
	if code == "" {
		return ""
	}
	return english.Say("trouble."+code, nil)
}

// now is the present moment in the shop's zone.
func (s *site) now() time.Time { return s.services.Now().In(s.zone()) }

func (s *site) zone() *time.Location {
	return s.services.Zone(context.Background())
}

// day shows the day of a moment in the shop's zone: "9 Feb 2027".
func (s *site) day(t time.Time) string {
	if t.IsZero() {
		return ""
	}
	return words.DateOf(t.In(s.zone()))
}

// minute shows a moment in the shop's zone: "9 Feb 2027, 15:42".
func (s *site) minute(t time.Time) string {
	if t.IsZero() {
		return ""
	}
	return words.Moment(t.In(s.zone()))
}

// hour shows a moment of today as "15:42", of another day as its day.
func (s *site) hour(t time.Time) string {
	local, now := t.In(s.zone()), s.now()
	if local.YearDay() == now.YearDay() && local.Year() == now.Year() {
		return local.Format("15:04")
	}
	return words.DateOf(local)
}

// doneWords are what a page says after a form has done its work. The address
// carries the code, so that a reload says it again and does nothing again.
var doneWords = map[string]string{
	"reviewed":          "The time is looked back on; its paper is kept.",
	"reviewed_same":     "There is nothing else to say than this edition says.",
	"released":          "The certificate is issued.",
	"voided":            "The certificate is void. It keeps its number, and its paper now says so.",
	"held":              "The hold is raised. No certificate can be issued until it is lifted.",
	"lifted":            "The hold is lifted.",
	"placed":            "The inspection is placed and judged.",
	"moved":             "The readings are moved here and judged.",
	"dismissed":         "The inspection is set aside. It is kept whole.",
	"draft_aside":       "The draft is set aside.",
	"sent_before":       "You had sent this a moment ago: nothing is done a second time. To do it once more, open its page anew.",
	"family":            "The family is added, with a first specification of common-practice limits.",
	"product":           "The product is added.",
	"revised":           "The new revision is in force for every inspection from now on.",
	"person":            "The person is added.",
	"changed":           "The change is saved.",
	"cause":             "The cause is kept beside its signal.",
	"baseline":          "The limits are frozen. Points from there on are judged by them.",
	"happening":         "It stands on the charts now.",
	"secret":            "The new secret is set.",
	"session_ended":     "It is signed out, at once and everywhere.",
	"second_dropped":    "Your second factor is taken away. The password alone lets you in.",
	"second_replaced":   "Your second factor is taken away. Set up another, then everything opens.",
	"second_reset":      "Their second factor is taken away, and their office sessions are ended.",
	"doubt_settled":     "It is noted that both were yours.",
	"erased_due":        "They are erased.",
	"erased_some":       "Those of them who were still due are erased.",
	"revoked":           "It is revoked. Its key opens nothing any more.",
	"lot":               "The lot is received.",
	"lot_checked":       "The inspection is kept.",
	"lot_decided":       "It is decided, and kept with your name and the time.",
	"key_used":          "Backups are encrypted to this key from now on.",
	"lot_kept":          "It is kept with your name and the time.",
	"lot_mixed":         "They are in the bin. What holds pieces of it possibly holds pieces of each.",
	"paper":             "The paper is kept.",
	"material":          "The material is kept.",
	"part":              "It is received.",
	"fitted":            "It is on the record as built in.",
	"recalled":          "They are called back: what is here is on hold.",
	"recalled_away":     "They are called back. None is here: tell whoever has one, and keep below what came of it.",
	"recalled_both":     "They are called back: what is here is on hold. Tell whoever has one that was shipped, and keep below what came of it.",
	"asked_again":       "Searched again. What is new is stopped.",
	"shipped":           "It is on record as shipped.",
	"order":             "The order is entered.",
	"claim":             "The claim is opened.",
	"nonconformity":     "It is kept, and the item is on hold until it is decided.",
	"customer":          "The customer is added.",
	"erased":            "The customer is erased.",
	"list":              "The list is taken in.",
	"taken_out":         "It is on the record as taken out.",
	"made":              "The serial is given out. Label it, then record its readings.",
	"instrument":        "The instrument is in the register.",
	"instrument_up":     "The instrument’s entry is changed.",
	"calibrated":        "The calibration is kept, and the gauge counts as in tolerance.",
	"calibrated_late":   "The calibration is kept. A later one is known: the days of the gauge stay those of that one.",
	"found_out":         "The calibration is kept. It found the gauge out of tolerance: what it had measured is judged again below.",
	"found_out_late":    "The calibration is kept. It found the gauge out of tolerance: what it had measured is judged again below. A later one is known: the days of the gauge stay those of that one.",
	"left_out":          "The calibration is kept. It left the gauge out of tolerance: nothing is judged by it.",
	"left_out_late":     "The calibration is kept. It left the gauge out of tolerance. A later one is known: the days of the gauge stay those of that one.",
	"stays_out":         "The calibration is kept. The gauge went out of use or failed a check after it was made: it stays out of use.",
	"stays_out_late":    "The calibration is kept. The gauge went out of use or failed a check after it was made: it stays out of use. A later one is known: the days of the gauge stay those of that one.",
	"traced":            "Judged again, as things stand now.",
	"held_traced":       "They are on hold.",
	"gauge_check":       "The check is asked for from now on.",
	"checked":           "The check is kept.",
	"check_failed":      "The check is kept, and the gauge failed it. This is what it had measured since it was last good.",
	"gauge_check_ended": "The check is asked for no longer.",
	"study":             "The study is planned. Take the readings in the order shown, or print the order sheet.",
	"study_read":        "The reading is kept.",
	"study_struck":      "The reading is struck, and is asked for again. It stays on record.",
	"study_ended":       "The study is given up. What was read stays.",
	"budget":            "The study is confirmed, and the budget took its figures over.",
	"budget_up":         "The budget is kept as a new revision. No specification changed.",
	"rule":              "The new revision is in force for every inspection from now on.",
	"gauge_table":       "The table is entered and in force from now on.",
	"charging":          "On the charger. End the charge here; rest counts from then.",
	"charged":           "The charge has ended. Rest counts from now; read it when the rest is over.",
	"step":              "It is kept with your name and the time.",
	"steps":             "The list is in force for every pack from now on.",
	"on_charger":        "It is on the charger. Rest counts from the end of the charge.",
	"capacity":          "The test is kept.",
	"warmth":            "The temperature is kept. It holds until the next one.",
	"placed_shelf":      "The shelf knows.",
	"blocks_aside":      "Set aside: into no pack until released.",
	"blocks_free":       "Released.",
	"match_dropped":     "Dropped. Its blocks are free again.",
	"roll":              "The serials are reserved. The first scan of each makes its item.",
}

// pointed is a pointer's text, empty for none.
func pointed(p *string) string {
	if p == nil {
		return ""
	}
	return *p
}

// name is the name of a person by their id, for views that carry names.
//
//go:noinline
func name(people map[string]string, id string) string {
	switch n := people[id]; {
	case n != "":
		return n
	case id == "" || id == models.Actor{}.String():
		return "the program"
	}
	return "someone no longer listed"
}
