// Package truing makes turn lists: from the readings of every hole of a wheel,
// which nipples to turn by how much; and says, when it was read again, whether
// the wheel did what was predicted.
//
// It believes that a list is a promise that can be checked. What it predicts is
// frozen when it is made, each turn is ticked off by a person, and the next
// readings are compared with exactly the turns that were made. Where they agree
// the round teaches by how much this type of rim and spoke moves more or less
// than the model says. Where they contradict it says stop, with the likely
// cause, and nothing more is turned before a person has said what happened.
//
// It refuses to ask for a tension above the rim maker's maximum less the
// uncertainty of the gauge, works for taut spokes alone, and says what is
// missing instead of guessing. Stiffness is assumed, not validated on a real
// wheel: it takes two or three rounds.
//
// Make a list with [Service.Make], tick it off with [Service.Tick], compare the
// next inspection with [Service.Compare], and answer a stop with
// [Service.Answer].
package truing
