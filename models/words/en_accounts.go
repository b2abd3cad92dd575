package words

// enAccounts say what is wrong with a second factor, what is doubted about the key
// of a tablet, and what the shop may say about both.
var enAccounts = map[string]string{
	"too_many_tries_minutes": "Too many tries: wait {minutes} minutes.",

	"code_wrong":       "That is not the code of this moment. Tries left: {left}.",
	"code_used":        "This code was used already; each counts once. Wait for the next. Tries left: {left}.",
	"second_own_first": "Set up your own second factor first, so that you do not lock yourself out.",
	"not_lock_minutes": "A whole number of minutes, {least} to {most}.",

	"doubt_turn":    "Two browsers hold this key: {browser} at {address} came with a part of it that was out of date.",
	"doubt_program": "A program, {browser} at {address}, used the key of this tablet’s browser.",
	"doubt_two":     "The key was used from two machines by turns, one of them {browser} at {address}.",

	"browser_on":      "{browser} on {system}",
	"browser_alone":   "{browser}",
	"browser_unnamed": "a program that does not say its name",

	"attention_device":      "The key of {tablet}, {place}, seems to be in two places",
	"attention_key_turn":    "two browsers hold it",
	"attention_key_program": "a program used the key of a browser",
	"attention_key_two":     "it was used from two machines by turns",
	"attention_device_line": "if both are not yours, revoke it and enrol the tablet anew",
	"attention_device_many": "{count} more keys of tablets seem to be in two places",
	"attention_no_device":   "no key of a tablet in two places",

	"attention_retention_one":  "{count} customer is kept longer than the shop wants",
	"attention_retention_many": "{count} customers are kept longer than the shop wants",
	"attention_retention_most": "{count} customers or more are kept longer than the shop wants",
	"attention_retention_line": "nothing of theirs for {months} months, and no claim of theirs is open",
}

// enAccountNotes are notes of entries about what guards a person's account.
var enAccountNotes = map[string]string{
	"second_secret_set":     "second factor set up",
	"second_secret_dropped": "second factor taken away",
	"second_secret_reset":   "second factor reset by another",
	"recovery_codes_set":    "recovery codes made anew",
	"recovery_code_used":    "signed in by a recovery code",
}

var enAccountDeeds = map[string]string{
	"see_devices":   "See the tablets",
	"see_customers": "See who they are",
}

var enAccountAttention = map[string]string{
	"device":    "Key",
	"retention": "Customers",
}
