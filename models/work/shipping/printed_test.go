package shipping

import (
	"reflect"
	"testing"

	"tracewright/models"
)

// An item that two holds stood on was on hold, and that is said once.
func TestThePackingListSaysAHoldOnce(t *testing.T) {
	held := func(reason string) models.Remark {
		return models.NewRemark("held_back", "serial", "W31000018", "reason", reason)
	}
	other := models.NewRemark("held_back", "serial", "W31000026", "reason", "dropped")
	got := printed([]models.Remark{held("swings"), models.NewRemark("not_released"), held("dropped"), other})
	want := []models.Remark{models.NewRemark("was_held", "serial", "W31000018"), models.NewRemark("not_released"), models.NewRemark("was_held", "serial", "W31000026")}
	if !reflect.DeepEqual(got, want) {
		t.Errorf("printed %v, want %v", got, want)
	}
}
