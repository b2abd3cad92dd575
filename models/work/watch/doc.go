// Package watch keeps the signals of all watched charts, and tells pages which
// charts have just got another point.
//
// It believes that what needs somebody must be known before anybody looks: a
// chart that is only drawn when a page is opened signals to nobody. So it follows
// the sealed log of changes, finds which charts an entry touches, lets those be
// computed and stores their signals. The log is the one list of what happened
// that every program over the database writes and that nothing can slip into
// behind a reader's back; where nothing is sealed, it looks for entries that wait.
//
// What is stored is derived. It computes nothing itself and decides nothing: which
// charts are watched and what they signal is asked of whoever draws them, so that a
// page and the stored signals cannot disagree for longer than a pass takes. Several
// servers over one database share the work without knowing of one another: a
// chart's row says how much of the log it has taken in, and the longer log wins.
//
// Start with [New], let [Service.Run] work until the server stops, ask
// [Service.Open], and [Service.Listen] for a page.
package watch
