package words

// enRecall say what is wrong with calling something back.
var enRecall = map[string]string{
	"one_scope":       "Name one of them: a lot, a part, a gauge, or a place and a person.",
	"reaches_nothing": "Nothing in the house or shipped is reached by this.",
	"not_in_recall":   "This item is not called back by it.",
	"recall_ended":    "The recall {number} is closed.",
}

// enResponses say what came of calling an item back.
var enResponses = map[string]string{
	"notified":    "notified",
	"answered":    "answered",
	"returned":    "came back",
	"put_right":   "put right",
	"not_reached": "not reached",
}
