// Package symptom turns what a customer complains of into a few questions at
// the bench, each of which ends in a defect code.
//
// The questions run from what is worst to what is likeliest: the first that is
// answered yes gives the code, and where none is, the symptom's own code stands.
// The lists are common practice of workshops and no standard; whoever has the
// item in hand may choose another code. Words stand in the catalogue.
package symptom

import "slices"

// Symptom is a complaint with its check list.
type Symptom struct {
	Code      string
	Kind      string // of the item: wheel, pack
	Questions []Question
	Otherwise string // code where every answer is no
}

// Question is asked with the item in hand; Yes is the code it ends in.
type Question struct{ Code, Yes string }

// lists is the one table of symptoms, in the order in which they are offered.
var lists = []Symptom{
	{"spoke_broken", "wheel", []Question{{"rim_cracked", "W15"}, {"pulled_through", "W16"}, {"flange_worn", "W17"}, {"thread_short", "W12"}}, "W08"},
	{"wobbles", "wheel", []Question{{"rim_cracked", "W15"}, {"hub_loose", "W24"}, {"spokes_slack", "W04"}, {"joint_felt", "W14"}}, "W01"},
	{"hops", "wheel", []Question{{"rim_cracked", "W15"}, {"joint_felt", "W14"}}, "W02"},
	{"ticks", "wheel", []Question{{"spoke_gone", "W08"}, {"flange_worn", "W17"}, {"bearing_rough", "W24"}, {"nipple_askew", "W11"}}, "W06"},
	{"motor_dead", "wheel", []Question{{"cable_cut", "W20"}, {"pins_bent", "W21"}}, "W22"},
	{"has_play", "wheel", []Question{{"axle_flat_worn", "W19"}, {"bearing_rough", "W24"}}, "W23"},

	{"hot_or_swollen", "pack", []Question{{"case_bulges", "P15"}, {"metal_burnt", "P05"}, {"connector_burnt", "P13"}}, "P11"},
	{"dead", "pack", []Question{{"fuse_open", "P16"}, {"connector_burnt", "P13"}, {"busbar_loose", "P06"}}, "P08"},
	{"short_range", "pack", []Question{{"block_behind", "P02"}, {"sinks_under_load", "P04"}, {"lost_standing", "P18"}}, "P03"},
	{"cuts_out", "pack", []Question{{"busbar_loose", "P06"}, {"block_behind", "P10"}, {"sinks_under_load", "P04"}}, "P09"},
	{"will_not_charge", "pack", []Question{{"fuse_open", "P16"}, {"connector_burnt", "P13"}, {"block_behind", "P10"}}, "P08"},
}

// For lists the symptoms of a kind of item.
func For(kind string) []Symptom {
	var out []Symptom
	for _, s := range lists {
		if s.Kind == kind {
			out = append(out, s)
		}
	}
	return out
}

// Named finds one by its code.
func Named(code string) (Symptom, bool) {
	at := slices.IndexFunc(lists, func(s Symptom) bool { return s.Code == code })
	if at < 0 {
		return Symptom{}, false
	}
	return lists[at], true
}

// Leads is the code that answers lead to; yes says which questions were answered
// so.
func (s Symptom) Leads(yes func(question string) bool) string {
	for _, q := range s.Questions {
		if yes(q.Code) {
			return q.Yes
		}
	}
	return s.Otherwise
}
