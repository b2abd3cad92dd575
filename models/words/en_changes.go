package words

// enChanges say what an entry in the log of changes tells of, by the kind of its
// record.
var enChanges = map[string]string{
	"genesis":      "Log begun",
	"key_enrolled": "Key enrolled",
	"key_retired":  "Key retired",

	"person":  "Person entered or changed",
	"device":  "Tablet enrolled or changed",
	"setting": "Setting changed",

	"family":           "Family added",
	"product":          "Product added",
	"product_revision": "Product’s form revised",
	"specification":    "Specification revised",
	"build_list":       "Steps of building revised",
	"check_list":       "Check list revised",

	"lot":             "Lot received",
	"lot_check":       "Lot inspected",
	"lot_decision":    "Lot decided",
	"lot_scrap":       "Pieces of a lot scrapped",
	"lot_count":       "Lot counted",
	"lot_explanation": "Difference of a lot explained",
	"lot_mix":         "Lots mixed",
	"material":        "Material entered or changed",
	"supplier":        "Supplier added",
	"attachment":      "Paper or photo kept",

	"instrument":         "Gauge entered or changed",
	"gauge_table":        "Table of a gauge entered",
	"calibration_report": "Calibration entered",
	"gauge_check":        "Gauge checked",
	"gauge_reading":      "Reading of a gauge’s check",
	"gauge_trace":        "Readings of a gauge traced back",
	"gauge_study":        "Gauge study begun",
	"study_reading":      "Reading of a gauge study",
	"study_strike":       "Reading of a gauge study struck out",
	"review":             "Week or month looked back on",
	"study_end":          "Gauge study ended",
	"uncertainty_budget": "Uncertainty budget set up",

	"item":                "Item made",
	"serial_roll":         "Serials reserved for labels",
	"fitted_part":         "Part built in",
	"part_removal":        "Part taken out",
	"build_tick":          "Step of building ticked",
	"inspection":          "Inspection recorded",
	"unplaced":            "Inspection kept without a place",
	"unplaced_settlement": "Inspection without a place settled",
	"turn_list":           "Turns worked out",
	"turn_done":           "Turns made",
	"turn_round":          "Turns compared",
	"turn_answer":         "Question about turns answered",

	"hold":                   "Put on hold",
	"hold_lift":              "Hold lifted",
	"nonconformity":          "Nonconformity opened",
	"nonconformity_step":     "Nonconformity taken further",
	"corrective_action":      "Corrective action opened",
	"corrective_action_step": "Corrective action taken further",

	"restoration":     "Put back from a backup",
	"restored_label":  "Last printed label given",
	"defect_revision": "Defect codes revised",
	"disposition":     "Block decided",

	"chart_baseline": "Baseline of a chart chosen",
	"signal_cause":   "Cause of a signal given",
	"chart_event":    "Event added to the charts",

	"certificate":        "Certificate issued",
	"certificate_change": "Certificate no longer in force",
	"label_print":        "Printed",

	"block_receipt":   "Block received",
	"match":           "Blocks matched",
	"match_placement": "Block put in place",
	"match_end":       "Match kept or dropped",

	"charge":            "Charging begun",
	"charge_end":        "Charging ended",
	"shelf_place":       "Put on the shelf",
	"shelf_temperature": "Temperature of the shelf entered",
	"wanted_date":       "Wanted day set",
	"capacity_test":     "Capacity tested",

	"kit_packing":     "Packed into a kit",
	"order":           "Order entered",
	"order_end":       "Order ended",
	"shipment":        "Shipped",
	"shipment_void":   "Shipment voided",
	"customer":        "Customer entered or changed",
	"customer_look":   "Customer looked up",
	"recall":          "Recall made",
	"recall_run":      "Recall looked again",
	"recall_response": "Recall answered",
	"recall_end":      "Recall closed",
	"claim":           "Claim opened",
	"claim_event":     "Claim taken further",
}

// enChangeNotes are notes of entries, where the record alone does not say why.
var enChangeNotes = map[string]string{
	"first_owner":       "the first owner",
	"password_set":      "password set",
	"pin_set":           "PIN set",
	"password_rehashed": "password kept by a stronger method",
	"changed":           "changed",
	"revoked":           "revoked",
	"erased":            "erased",
	"words_erased":      "the customer’s words erased",
}

// enSettings name what the shop says about itself.
var enSettings = map[string]string{
	"shop_name":       "the shop’s name",
	"shop_address":    "the shop’s address",
	"time_zone":       "the time zone",
	"public_address":  "the public address",
	"look_reason":     "asking why at each look at a customer",
	"backup_key":      "the key that backups are encrypted to",
	"label_size":      "the usual label",
	"block_overdue":   "judging nothing by an overdue gauge",
	"second_person":   "what another person has to confirm",
	"paper_language":  "the language of certificates",
	"warranty_months": "the warranty",
	"chart_alarms":    "the false alarms of charts",
	"hourly_rate":     "what an hour costs",
	"rate_currency":   "the currency of what an hour costs",
	"claim_days":      "the days within which a claim is answered",

	"second_secret":    "asking desk and owner for a second factor",
	"lock_minutes":     "the time until a stand locks",
	"retention_months": "how long customers are kept",
}
