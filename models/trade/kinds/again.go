package kinds

import (
	"slices"
	"strings"

	"tracewright/models"
)

// Work is something that a rework or a repair does to an item, with the
// characteristics that it can disturb and that are read again after it. Common
// practice, no source.
type Work struct {
	Code     string
	Kind     string
	Disturbs []string
}

// AnyWork is work that the table does not name: whatever was inspected is
// inspected again.
const AnyWork = "other"

var (
	trued = []string{LateralRunOut, RadialRunOut, Dish, TensionA, TensionB}
	wired = []string{BlockVoltage, PackVoltage}
	built = []string{BlockVoltage, BlockResistance, BlockTemperature, PackVoltage, "polarity_checked", "insulated", "terminals_covered"}
)

var works = []Work{
	{"retension", models.KindWheel, trued},
	{"spoke_change", models.KindWheel, append(slices.Clone(trued), "spokes_seated", "nipples_flush")},
	{"rim_change", models.KindWheel, append(slices.Clone(trued), "spokes_seated", "nipples_flush", "spins_freely")},
	{"axle_work", models.KindWheel, []string{Dish, "axle_thread", "washer_seat", "spins_freely", "cable_sound"}},
	{"cable_work", models.KindWheel, []string{"cable_sound", "spins_freely"}},
	{"block_change", models.KindPack, built},
	{"reconnect", models.KindPack, append(slices.Clone(wired), BlockResistance, "polarity_checked", "insulated", "terminals_covered")},
	{"recharge", models.KindPack, append(slices.Clone(wired), BlockTemperature)},
	{"case_work", models.KindPack, []string{"insulated", "terminals_covered", "labelled"}},
}

// WorksOn lists what the table names for a kind of item; AnyWork goes with each.
func WorksOn(kind string) []string {
	var codes []string
	for _, w := range works {
		if w.Kind == kind {
			codes = append(codes, w.Code)
		}
	}
	return append(codes, AnyWork)
}

// ToReadAgain lists what must be read again after work on an item: what failed,
// and what the work can disturb, of what its specification asks for. Of AnyWork
// that is everything.
func ToReadAgain(kind, work string, failed, asked []string) []string {
	at := slices.IndexFunc(works, func(w Work) bool { return w.Kind == kind && w.Code == work })
	again := slices.Clone(failed)
	for _, characteristic := range asked {
		if at < 0 || slices.Contains(works[at].Disturbs, characteristic) {
			again = append(again, characteristic)
		}
	}
	slices.SortFunc(again, strings.Compare)
	return slices.Compact(again)
}
