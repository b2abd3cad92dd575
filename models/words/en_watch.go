package words

// enWatch is what the watched charts of a period are said to have signalled, for
// a review. Codes that end in _all are of a chart without a place.
var enWatch = map[string]string{
	"watch_none":           "No chart is watched: nothing was measured in the last 90 days.",
	"watch_unmeasured":     "Nothing was measured in this time, so nothing can be said of control.",
	"watch_quiet":          "No new signal on any of the {watched_charts} watched charts, and none from before is without a cause.",
	"watch_quiet_left":     "No new signal on any of the {watched_charts} watched charts. {count} of them have one from before without a cause yet, the oldest of {date}.",
	"watch_quiet_left_one": "No new signal on any of the {watched_charts} watched charts. One of them has one from before without a cause yet, the oldest of {date}.",
	"watch_left":           "{count} more charts have a signal from before without a cause yet, the oldest of {date}.",
	"watch_left_one":       "One more chart has a signal from before without a cause yet, the oldest of {date}.",
	"watch_signalled":      "{name}, {watched_family}, {place}: {count} signals, the first on {date}, and {unexplained} without a cause.",
	"watch_signalled_all":  "{name}, {watched_family}, all places: {count} signals, the first on {date}, and {unexplained} without a cause.",
	"watch_one":            "{name}, {watched_family}, {place}: a signal on {date}, and its cause is known.",
	"watch_one_all":        "{name}, {watched_family}, all places: a signal on {date}, and its cause is known.",
	"watch_one_open":       "{name}, {watched_family}, {place}: a signal on {date}, without a cause yet.",
	"watch_one_open_all":   "{name}, {watched_family}, all places: a signal on {date}, without a cause yet.",
	"watch_more_signalled": "Signals came on {count} more charts.",
}
