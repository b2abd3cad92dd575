package words

// enVerify say what a verification found, beside its codes.
var enVerify = map[string]string{
	"E_SEQ":        "Entry {seq} does not stand at its number: entries were removed, added or put in another order.",
	"E_PREV":       "Entry {seq} does not follow the one before it: that one was replaced, or this one was put in.",
	"E_HASH":       "Entry {seq} is not what it was when it was sealed.",
	"E_KEY":        "The checkpoint over {size} entries is signed by key {key}, which is none of the keys you trust, nor vouched for by one of them.",
	"E_SIG":        "The checkpoint over {size} entries was not signed like this: it was changed, or never signed by key {key}.",
	"E_TRUNCATED":  "Only {seq} entries are left of the {size} that were signed: the end is missing.",
	"end_missing":  "Only {seq} entries are left: the end is missing.",
	"E_CHECKPOINT": "The entries are not those that were signed at {size}: the log was written anew somewhere before.",
	"W_CLOCK_BACK": "Entry {seq} is dated before an earlier one: the clock was set back. The order of the entries stands.",

	"cut":        "The file ends in the middle of line {line}. {entries} entries stand whole before it.",
	"no_end":     "The file has no last line: it was cut off behind line {line}.",
	"unreadable": "Line {line} cannot be read: {cause}.",

	"E_RECORD":    "Not what was entered: {kind} {subject}, by {entry}.",
	"E_GONE":      "Not there any more: {kind} {subject}, entered by {entry}.",
	"E_UNENTERED": "There, and never entered: {kind} {subject}.",
	"E_CONTENT":   "Holds other content than it names: {kind} {subject}.",
	"E_FILE":      "A kept file is not the one it was: {subject}.",
	"paper_of":    "The content inside the kept paper is not that of the certificate: {kind} {subject}.",
	"W_KIND":      "Not looked for, since this version does not know such records: {kind} {subject}.",
	"entry":       "entry {seq} of {date}",
	"entry_open":  "an entry of {date} that is not sealed",

	"covered":        "Checkpoints: {checkpoints}. The newest covers {size} entries, is of {date} and signed by key {key}.",
	"witnessed":      "Certificates from elsewhere that the log leads to: {n}.",
	"uncovered":      "No checkpoint: whoever holds the log could have written it anew.",
	"uncheckpointed": "Behind the newest checkpoint: {n}. Sealed entries there could vanish unseen until the next one.",
	"unsealed":       "Not sealed yet: {n}. Until then changes are only as safe as the database.",
	"unsealed_then":  "Not sealed when the file was written, and so not in it: {n}.",
	"proves":         "This shows that the record was not changed afterwards, not that a measurement was true.",

	"certificate":  "Certificate {number} revision {revision} of {serial}, issued on {date}.",
	"signed":       "Signed by key {key}.",
	"still_stands": "Whether it still stands only the shop can tell: a later revision or a void is not on the paper.",
	"at_address":   "Whether it still stands is told at {address}.",
	"sealed_at":    "It names the log as it was sealed at {size} entries.",
	"E_UNSIGNED":   "The certificate carries no signature: those of the first version have none, and nothing shows that it is unchanged.",
	"key_of":       "The certificate is signed by key {key}, which is none of those you trust.",
	"sig_of":       "The content is not what key {key} signed: a certificate was changed, or the signature is of another.",
	"E_PAPER":      "The content is what was signed, and the file around it is not what this version draws from it: it was changed, saved anew, drawn by another version, or marked as superseded or void. Go by the content, which --content writes out.",
	"E_UNREADABLE": "The file holds no certificate that can be read: {cause}.",
}
