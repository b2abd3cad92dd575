package kinds

import (
	"slices"
	"testing"

	"tracewright/models"
)

// Tightening spokes re-opens both run-outs, the dish and the tension
// (records.md 7); a block that is changed re-opens what is read of blocks.
func TestToReadAgain(t *testing.T) {
	wheel := []string{"lateral_runout", "radial_runout", "dish", "tension_a", "tension_b", "cable_sound", "labelled"}
	pack := []string{"block_voltage", "block_resistance", "block_temperature", "pack_voltage", "labelled"}
	for name, c := range map[string]struct {
		kind, work    string
		failed, asked []string
		want          []string
	}{
		"truing opens all of the truth":    {models.KindWheel, "retension", []string{"lateral_runout"}, wheel, []string{"dish", "lateral_runout", "radial_runout", "tension_a", "tension_b"}},
		"what failed is read in any case":  {models.KindWheel, "cable_work", []string{"lateral_runout"}, wheel, []string{"cable_sound", "lateral_runout"}},
		"only what is asked for":           {models.KindWheel, "retension", nil, []string{"lateral_runout"}, []string{"lateral_runout"}},
		"a block opens the blocks' values": {models.KindPack, "block_change", []string{"block_resistance"}, pack, []string{"block_resistance", "block_temperature", "block_voltage", "pack_voltage"}},
		"unnamed work opens everything":    {models.KindPack, AnyWork, nil, pack, []string{"block_resistance", "block_temperature", "block_voltage", "labelled", "pack_voltage"}},
	} {
		t.Run(name, func(t *testing.T) {
			if got := ToReadAgain(c.kind, c.work, c.failed, c.asked); !slices.Equal(got, c.want) {
				t.Errorf("got %v, want %v", got, c.want)
			}
		})
	}
}
