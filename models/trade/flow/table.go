package flow

import (
	"fmt"
	"slices"

	"tracewright/models"
)

// Event is something that moves an item from one state to another.
type Event string

// What the workshop does.
const (
	InspectPass Event = "inspect_pass" // every required characteristic passes
	InspectFail Event = "inspect_fail" // a person closes the work as nonconforming
	Hold        Event = "hold"
	RecallHold  Event = "recall_hold" // of what is released
	VoidHold    Event = "void_hold"

	UseAsIs        Event = "dispose_use_as_is"
	Rework         Event = "dispose_rework"
	Repair         Event = "dispose_repair"
	Scrap          Event = "dispose_scrap"
	ReturnSupplier Event = "dispose_return_supplier"

	ApproveConcession Event = "approve_concession"
	RejectConcession  Event = "reject_concession"
	ReworkDone        Event = "rework_done"
	RepairDone        Event = "repair_done"
	ConfirmScrap      Event = "confirm_scrap"
	ConfirmReturn     Event = "confirm_return"

	Release  Event = "release"
	Ship     Event = "ship"
	ReturnIn Event = "return_in" // it lies in the shop again
	Recall   Event = "recall"
)

// What takes a record back, or goes round the gate. Ours.
const (
	Opened          Event = "opened"           // something was taken out: it is inspected anew
	PassWithdrawn   Event = "pass_withdrawn"   // the inspection that passed belongs to another item
	Revise          Event = "revise"           // a certificate is replaced by its next revision
	VoidCertificate Event = "void_certificate" // of what passed
	VoidConceded    Event = "void_conceded"    // of what was released under a concession
	ShipAgainst     Event = "ship_against"     // a kit, which has no certificate, or what the owner lets out
	VoidShipment    Event = "void_shipment"    // it did not go
	PartScrapped    Event = "part_scrapped"    // taken out of something and thrown away
	PartReturned    Event = "part_returned"    // taken out of something and sent back
)

// Initial is the state of an item that was just made.
const Initial = models.StateInProcess

// table is what the workshop does: state, event, next state.
var table = map[string]map[Event]string{
	models.StateInProcess:  {InspectPass: models.StateConforming, InspectFail: models.StateHeld, Hold: models.StateHeld},
	models.StateConforming: {Release: models.StateReleased, Hold: models.StateHeld},
	models.StateHeld: {UseAsIs: models.StateConcessionPending, Rework: models.StateRework, Repair: models.StateRepair, Scrap: models.StateScrapPending,
		ReturnSupplier: models.StateReturnPending, VoidHold: models.StateInProcess},
	models.StateConcessionPending: {ApproveConcession: models.StateConceded, RejectConcession: models.StateHeld},
	models.StateConceded:          {Release: models.StateReleased, Hold: models.StateHeld},
	models.StateRework:            {ReworkDone: models.StateReinspect, Hold: models.StateHeld},
	models.StateRepair:            {RepairDone: models.StateReinspect, Hold: models.StateHeld},
	models.StateReinspect:         {InspectPass: models.StateConforming, InspectFail: models.StateHeld},
	models.StateScrapPending:      {ConfirmScrap: models.StateScrapped},
	models.StateReturnPending:     {ConfirmReturn: models.StateReturned},
	models.StateReleased:          {Ship: models.StateShipped, RecallHold: models.StateHeld},
	models.StateShipped:           {ReturnIn: models.StateHeld, Recall: models.StateRecalled},
	models.StateRecalled:          {ReturnIn: models.StateHeld},
	models.StateScrapped:          {},
	models.StateReturned:          {},
}

// here are the states of what lies in the shop and is nobody else's yet.
var here = []string{models.StateInProcess, models.StateConforming, models.StateHeld, models.StateConcessionPending, models.StateConceded, models.StateRework, models.StateRepair,
	models.StateReinspect, models.StateScrapPending, models.StateReturnPending, models.StateReleased}

// corrections are what takes a record back: event, state, next state.
var corrections = map[Event]map[string]string{
	Opened:          {models.StateConforming: models.StateInProcess, models.StateReleased: models.StateInProcess, models.StateConceded: models.StateInProcess},
	PassWithdrawn:   {models.StateConforming: models.StateInProcess},
	Revise:          {models.StateReleased: models.StateReleased, models.StateShipped: models.StateShipped},
	VoidCertificate: {models.StateReleased: models.StateConforming},
	VoidConceded:    {models.StateReleased: models.StateConceded},
	ShipAgainst:     from(here, models.StateShipped),
	VoidShipment:    {models.StateShipped: models.StateReleased, models.StateRecalled: models.StateReleased},
	PartScrapped:    from(here, models.StateScrapped),
	PartReturned:    from(here, models.StateReturned),
}

func from(states []string, to string) map[string]string {
	m := make(map[string]string, len(states))
	for _, s := range states {
		m[s] = to
	}
	return m
}

// RefusedError says that an event may not happen to an item in its state.
type RefusedError struct {
	State string
	Event Event
}

// Error implements error.
func (e *RefusedError) Error() string {
	return fmt.Sprintf("%s is no event of an item that is %s", e.Event, e.State)
}

// Unwrap makes it models.ErrStale: whoever decided so saw another state.
func (e *RefusedError) Unwrap() error { return models.ErrStale }

// After is the state that an event leads to, or a *RefusedError. After VoidHold
// an item takes up the state again that it had before the hold, after VoidShipment
// that from before the shipment, of which the table knows one alone.
func After(state string, event Event) (string, error) {
	if next, ok := table[state][event]; ok {
		return next, nil
	}
	if next, ok := corrections[event][state]; ok {
		return next, nil
	}
	return state, &RefusedError{State: state, Event: event}
}

// Allows says whether an event may happen to an item in a state.
func Allows(state string, event Event) bool {
	_, err := After(state, event)
	return err == nil
}

// HoldOf is the event by which a hold on an item in a state moves it: a hold on
// what had left says that it is here again. Empty where a hold is kept beside the
// state and moves nothing: the item waits for something already, or is gone.
func HoldOf(state string) Event {
	for _, event := range []Event{Hold, RecallHold, ReturnIn} {
		if _, ok := table[state][event]; ok {
			return event
		}
	}
	return ""
}

// Dispositions are what may be decided about an item that is held, in the order
// in which they are offered.
var Dispositions = []Event{Rework, Repair, UseAsIs, ReturnSupplier, Scrap}

// Settles says whether an event leaves nothing to decide about an item that did not
// conform.
func Settles(event Event) bool {
	return slices.Contains(settling, event)
}

var settling = []Event{ApproveConcession, ConfirmScrap, ConfirmReturn, InspectPass, PartScrapped, PartReturned}

// Settling lists the events with which a nonconformity is closed.
func Settling() []Event { return slices.Clone(settling) }
