package flow

import (
	"errors"
	"slices"
	"testing"

	"tracewright/models"
	"tracewright/testdata/cases"
)

// The table of what the workshop does is that of the case, no event more.
func TestTable(t *testing.T) {
	for _, c := range cases.OfKind(t, "nc_transition_table") {
		want := cases.Decode[struct {
			Initial string                       `json:"initial"`
			Table   map[string]map[string]string `json:"table"`
		}](t, c.Expected)
		if Initial != want.Initial {
			t.Errorf("items begin %s, want %s", Initial, want.Initial)
		}
		if len(table) != len(want.Table) {
			t.Errorf("%d states, want %d", len(table), len(want.Table))
		}
		for state, events := range want.Table {
			if len(table[state]) != len(events) {
				t.Errorf("%s has %d events, want %d", state, len(table[state]), len(events))
			}
			for event, next := range events {
				if got, err := After(state, Event(event)); got != next || err != nil {
					t.Errorf("%s, %s: %s, %v, want %s", state, event, got, err, next)
				}
			}
		}
	}
}

func TestSequences(t *testing.T) {
	for _, c := range cases.OfKind(t, "nc_sequence") {
		t.Run(c.ID, func(t *testing.T) {
			in := cases.Decode[struct{ Events []Event }](t, c.Input)
			want := cases.Decode[struct {
				Accepted bool
				At       int
				State    string
			}](t, c.Expected)
			state, at := Initial, -1
			for i, event := range in.Events {
				next, err := After(state, event)
				var refused *RefusedError
				if errors.As(err, &refused) && errors.Is(err, models.ErrStale) {
					at = i
					break
				}
				state = next
			}
			if state != want.State || at < 0 != want.Accepted || !want.Accepted && at != want.At {
				t.Errorf("events %v: %s, refused at %d; want %+v", in.Events, state, at, want)
			}
		})
	}
}

func TestGate(t *testing.T) {
	for _, c := range cases.OfKind(t, "release_gate") {
		t.Run(c.ID, func(t *testing.T) {
			in := cases.Decode[struct {
				Required  []string
				Records   map[string]string
				Approvals []string
			}](t, c.Input)
			want := cases.Decode[struct {
				Blocked []string `json:"blocked_by"`
			}](t, c.Expected)
			var got []string
			for _, u := range UnmetOf(in.Required, in.Records, in.Approvals) {
				got = append(got, u.Why+":"+u.Result)
			}
			if !slices.Equal(got, want.Blocked) {
				t.Errorf("blocked by %v, want %v", got, want.Blocked)
			}
		})
	}
	failed := map[string]string{"lateral": models.VerdictFail}
	if got := UnmetOf([]string{"lateral"}, failed, nil); len(got) != 1 || got[0].Why != Failed {
		t.Errorf("a fail nobody approved: %v", got)
	}
	if got := UnmetOf([]string{"lateral"}, failed, []string{"lateral"}); got != nil {
		t.Errorf("a fail under a concession: %v", got)
	}
}

// A correction neither brings back what is gone for good, nor touches what is
// with its owner but by the shipment that did not go.
func TestCorrections(t *testing.T) {
	for event, of := range corrections {
		for state, next := range of {
			if _, there := table[state][event]; there {
				t.Errorf("%s is an event of the table too", event)
			}
			if state == models.StateScrapped || state == models.StateReturned {
				t.Errorf("%s moves what is %s", event, state)
			}
			if (state == models.StateShipped || state == models.StateRecalled) && next != state && event != VoidShipment {
				t.Errorf("%s moves what is %s", event, state)
			}
			if _, known := table[next]; !known {
				t.Errorf("%s leads to %q, which is no state", event, next)
			}
		}
	}
}

// A hold moves whatever can be held, and says of what had left that it is here;
// what waits for something else already keeps its state beside it.
func TestHoldOf(t *testing.T) {
	for state, want := range map[string]Event{
		models.StateInProcess: Hold, models.StateConforming: Hold, models.StateConceded: Hold, models.StateRework: Hold, models.StateRepair: Hold,
		models.StateReleased: RecallHold, models.StateShipped: ReturnIn, models.StateRecalled: ReturnIn,
		models.StateReinspect: "", models.StateScrapPending: "", models.StateReturnPending: "", models.StateConcessionPending: "", models.StateScrapped: "", models.StateReturned: "", models.StateHeld: "",
	} {
		if got := HoldOf(state); got != want {
			t.Errorf("%s: %q, want %q", state, got, want)
		}
	}
}
