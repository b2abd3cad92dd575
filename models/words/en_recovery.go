package words

// enRecovery are the words of the sheet that holds the recovery key of backups.
var enRecovery = map[string]string{
	"title":          "Recovery key of the backups",
	"of":             "{shop}, made on {date}",
	"of_none":        "Made on {date}",
	"of_at":          "A shop without a name yet, at {address}; made on {date}",
	"signs_replaced": "A sign that this sheet’s letters lack is printed as “?”.",
	"first":          "Whoever holds this sheet and a backup can read everything in it. Without this sheet nobody can open a backup. It was shown once and is kept nowhere else.",
	"keep":           "Keep it where neither the computer nor the backups are: in a safe, with somebody you trust. Two sheets in two places are better than one.",
	"scan":           "Scan this, or type the lines below. The last two characters of each line are its check; spaces, and whether letters are small, do not matter. The letters B, I and O and the digit 1 do not occur.",
	"public":         "Public half, which the shop keeps. It opens nothing, and tells which key a backup wants:",
	"try":            "Try it once, with the first backup that is made after it:",
	"restore":        "On the day it is needed:",
	"older":          "A key that this one took the place of still opens the backups of its time: keep its sheet as long as those.",
	"log":            "Tried with a backup, and it opened:",
	"when":           "day",
	"who":            "by",
	"foot":           "Delete the file that this was printed from.",
}
