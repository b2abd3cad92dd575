package words

// enTroubles say on every page that something could not be stored within the last
// minute, and why.
var enTroubles = map[string]string{
	"disk_full":      "The disk of the records is full. What is there can be read; whoever runs the server has to make room, and it goes on by itself.",
	"disk_read_only": "The database takes no changes. What is there can be read; whoever runs the server has to look at it, and it goes on by itself.",
	"disk_failing":   "The disk of the records refuses what it is asked: it fails, or was made read-only. Whoever runs the server has to look at it at once.",
}
